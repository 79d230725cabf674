//! Rows: limit columns, stacks, gaskets and when each is asked.

use super::Reader;
use crate::sheets::Sheet;
use crate::sheets::characteristic::Characteristic;
use crate::sheets::limits::Limits;
use crate::sheets::row::{Asked, Columns, Printed, Row, Term};
use crate::sheets::written;

impl Reader {
    pub(super) fn limits(&mut self, at: &str, from: &written::LimitsWritten) -> Option<Limits> {
        let min = from.min.as_deref().and_then(|digits| self.length(at, digits));
        let max = from.max.as_deref().and_then(|digits| self.length(at, digits));
        if min.is_none() && max.is_none() {
            self.fault(at, "neither min nor max", "at least one of min and max");
            return None;
        }
        Some(Limits { min, max })
    }

    fn column(&mut self, at: &str, name: &str, from: Option<&written::LimitsWritten>) -> Option<Limits> {
        from.and_then(|limits| self.limits(&format!("{at} {name}"), limits))
    }

    /// `ratio`: the feature is about the ratio of its readings.
    pub(super) fn row(&mut self, from: &written::RowWritten, sheet: &Sheet, ratio: bool) -> Option<Row> {
        let at = format!("row {}", from.row);
        let Some(characteristic) = Characteristic::from_word(&from.characteristic) else {
            let words: Vec<&str> = Characteristic::ALL.iter().map(|c| c.word()).collect();
            self.fault(&at, &from.characteristic, &format!("one of {}", words.join(", ")));
            return None;
        };
        let read = self.unit;
        self.unit = characteristic.unit(read, ratio);
        let row = self.limited(&at, from, characteristic, sheet);
        self.unit = read;
        Some(row)
    }

    fn limited(
        &mut self,
        at: &str,
        from: &written::RowWritten,
        characteristic: Characteristic,
        sheet: &Sheet,
    ) -> Row {
        Row {
            number: from.row,
            characteristic,
            unit: self.unit,
            nominal: from.nominal.as_deref().and_then(|digits| self.length(at, digits)),
            new: self.column(at, "new", from.new.as_ref()),
            service: self.column(at, "service", from.service.as_ref()),
            service_percent: from.service_percent,
            after_work: self.column(at, "after work", from.after_work.as_ref()),
            by_range: from.of_three.as_deref() == Some("range"),
            any: from.any.as_deref().and_then(|digits| self.length(at, digits)),
            stack: from.stack.iter().filter_map(|term| self.term(at, term, sheet)).collect(),
            other_unit: columns(&from.other_unit),
            asked: from.asked.iter().filter_map(|asked| self.asked(at, asked, sheet)).collect(),
            note: from.note.clone(),
        }
    }

    fn term(&mut self, at: &str, from: &written::TermWritten, sheet: &Sheet) -> Option<Term> {
        let at = format!("{at} stack {}", from.what);
        let (new, after_work) = match (&from.feature, &from.new) {
            (Some(feature), None) => {
                let (new, after_work) = self.of_feature(&at, feature, sheet)?;
                if from.cut && after_work.is_none() {
                    self.fault(&at, "cut", "a feature with after-work limits in its first row");
                }
                (new, after_work.filter(|_| from.cut))
            }
            (None, Some(new)) => {
                (self.limits(&at, new)?, self.column(&at, "after work", from.after_work.as_ref()))
            }
            (Some(_), Some(_)) | (None, None) => {
                self.fault(&at, "feature and new", "one of them: a feature's own limits, or limits here");
                return None;
            }
        };
        let after_work = after_work.map(|limits| limits.completed_by(&new));
        Some(Term { what: from.what.clone(), new, after_work, times: from.times })
    }

    /// New and after-work limits of the first row of a feature, which stands before this one on the sheet.
    fn of_feature(&mut self, at: &str, key: &str, sheet: &Sheet) -> Option<(Limits, Option<Limits>)> {
        let row = sheet.feature(key).and_then(|(_, feature)| feature.rows.first());
        let found = row.and_then(|row| Some((row.new?, row.after_work)));
        if found.is_none() {
            self.fault(at, key, "a feature listed before this one, with new limits in its first row");
        }
        found
    }

    fn asked(
        &mut self,
        at: &str,
        from: &written::AskedWritten,
        sheet: &Sheet,
    ) -> Option<(Asked, Vec<String>)> {
        let scopes = self.scopes(at, &from.scopes, sheet);
        let asked = match from.condition.as_str() {
            "as received" => Asked::AsReceived,
            "after work" => Asked::AfterWork,
            "at assembly" => Asked::AtAssembly,
            other => {
                self.fault(at, other, "as received, after work or at assembly");
                return None;
            }
        };
        Some((asked, scopes))
    }
}

fn columns(from: &written::ColumnsWritten) -> Columns {
    let printed =
        |limits: &written::LimitsWritten| Printed { min: limits.min.clone(), max: limits.max.clone() };
    Columns {
        nominal: from.nominal.clone(),
        new: printed(&from.new),
        service: printed(&from.service),
        after_work: printed(&from.after_work),
    }
}
