//! What worked-out values need beside their readings.

use super::Reader;
use crate::metrology::{Length, Unit};
use crate::sheets::Sheet;
use crate::sheets::names::{find_name, same_name};
use crate::sheets::shape::Shape;
use crate::sheets::wears_as::WearsAs;
use crate::sheets::worked::{Events, LobeOf, Timing, Worked};
use crate::sheets::written::{FeatureWritten, TimingWritten};

impl Reader {
    /// Heights are in the sheet's own unit, whatever the feature is read in.
    pub(super) fn worked(&mut self, at: &str, from: &FeatureWritten, unit: Unit) -> Worked {
        let height = from.at_height.as_deref().map(|digits| (digits, Length::parse(digits, unit)));
        if let Some((digits, Err(_))) = height {
            self.fault(&format!("{at} at-height"), digits, &format!("a height in {}", unit.symbol()));
        }
        Worked {
            heel: from
                .heel
                .iter()
                .filter_map(|name| self.station(&format!("{at} heel"), from, name))
                .collect(),
            timing: from.timing.as_ref().and_then(|timing| self.timing(at, timing)),
            at_height: height.and_then(|(_, height)| height.ok()).map(Length::exact),
            rate_with: None,
            next: from
                .next
                .iter()
                .filter_map(|two| {
                    let at = format!("{at} next");
                    self.station(&at, from, &two.here).zip(self.station(&at, from, &two.there))
                })
                .collect(),
            clock: None,
            strip_of: None,
        }
    }

    /// What the feature is to the general wear rules.
    pub(super) fn wears_as(&mut self, at: &str, from: &FeatureWritten, shape: Shape) -> Option<WearsAs> {
        let word = from.wears_as.as_deref()?;
        let found = WearsAs::from_word(word);
        match found {
            None => self.fault(&format!("{at} wears-as"), word, &format!("one of {}", wears_words())),
            Some(wears) if wears.shape() != shape => {
                let expected = format!("a feature of shape {}", wears.shape().word());
                self.fault(&format!("{at} wears-as"), word, &expected);
            }
            Some(_) => {}
        }
        found
    }

    /// Pairs a gauging strip is laid in; they name features, so they are read first.
    pub(super) fn strips(&mut self, from: &[FeatureWritten], sheet: &mut Sheet) {
        for (index, written) in from.iter().enumerate() {
            let Some(name) = written.strip_of.as_deref() else { continue };
            let pair = sheet.pairs.iter().position(|pair| {
                let inner = sheet.features.get(pair.inner.feature).map(|inner| &inner.positions);
                same_name(&pair.key, name) && inner == Some(&written.positions)
            });
            match sheet.features.get_mut(index).filter(|_| pair.is_some()) {
                Some(feature) => feature.worked.strip_of = pair,
                None => {
                    let at = format!("feature {} strip-of", written.feature);
                    self.fault(&at, name, "a pair of this sheet with the same positions");
                }
            }
        }
    }

    fn station(&mut self, at: &str, from: &FeatureWritten, name: &str) -> Option<usize> {
        let found = find_name(from.stations.iter(), name);
        if found.is_none() {
            self.fault(at, name, "a station of this feature");
        }
        found
    }

    fn timing(&mut self, at: &str, from: &TimingWritten) -> Option<Timing> {
        let valve = match from.valve.as_str() {
            "intake" => Some(LobeOf::Intake),
            "exhaust" => Some(LobeOf::Exhaust),
            other => {
                self.fault(&format!("{at} timing"), other, "intake or exhaust");
                None
            }
        };
        let read = match from.read.as_str() {
            "opening and closing" => Some(Events::OpeningAndClosing),
            "equal lifts" => Some(Events::EqualLifts),
            other => {
                self.fault(&format!("{at} timing"), other, "opening and closing, or equal lifts");
                None
            }
        };
        Some(Timing { valve: valve?, read: read? })
    }

    /// Another feature that this one names.
    pub(super) fn other(
        &mut self,
        of: &FeatureWritten,
        what: &str,
        name: Option<&str>,
        sheet: &Sheet,
    ) -> Option<usize> {
        let name = name?;
        let found = sheet.feature(name).map(|(index, _)| index);
        if found.is_none() {
            self.fault(&format!("feature {} {what}", of.feature), name, "a feature of this sheet");
        }
        found
    }
}

fn wears_words() -> String {
    WearsAs::ALL.map(WearsAs::word).join(", ")
}
