//! From the written sheet to exact limits, with every fault at once.
//!
//! Reading turns digits and words into values and resolves names; each thing it cannot read is a fault, and it
//! goes on. Whether what was read agrees with itself is the business of `check`, which runs only on a sheet that
//! could be read whole. `rows` reads limits and stacks, `hardware` fasteners, plugs, pins and checks,
//! `geometry` what ties the features together.

mod geometry;
mod grades;
mod hardware;
mod pairs;
mod parts;
mod remedies;
mod rows;
mod worked;

use crate::metrology::form::vee;
use crate::metrology::{Exact, Length, Unit};
use crate::sheets::characteristic::Characteristic;
use crate::sheets::check;
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::feature::{Feature, Gasket, SizeSeries, Skin, SurfacePoint, Vee};
use crate::sheets::limits::Limits;
use crate::sheets::pair::Pair;
use crate::sheets::row::Row;
use crate::sheets::shape::Shape;
use crate::sheets::written;
use crate::sheets::{Datum, ForCustomer, Scope, Sheet};

impl Sheet {
    /// Reads and checks a written sheet.
    ///
    /// # Errors
    /// Every fault found: unknown words, limits that are no lengths, and whatever contradicts itself.
    pub fn read(from: &written::SheetWritten) -> Result<Self, Faults> {
        let mut reader = Reader { unit: Unit::Inch, faults: Vec::new() };
        let sheet = reader.sheet(from);
        if reader.faults.is_empty() {
            check::check(&sheet, &mut reader.faults);
        }
        if reader.faults.is_empty() { Ok(sheet) } else { Err(reader.faults) }
    }
}

struct Reader {
    unit: Unit,
    faults: Faults,
}

impl Reader {
    fn fault(&mut self, at: &str, found: &str, expected: &str) {
        self.faults.push(Fault::new(at, found, expected));
    }

    fn sheet(&mut self, from: &written::SheetWritten) -> Sheet {
        match Unit::from_symbol(&from.unit).filter(|unit| unit.is_length()) {
            Some(unit) => self.unit = unit,
            None => self.fault("unit", &from.unit, "in or mm"),
        }
        let mut sheet = Sheet {
            key: from.sheet.clone(),
            revision: from.revision,
            name: from.name.clone(),
            notice: from.notice.clone(),
            unit: self.unit,
            scopes: from
                .scopes
                .iter()
                .map(|s| Scope { key: s.scope.clone(), name: s.name.clone() })
                .collect(),
            parts: Vec::new(),
            features: Vec::new(),
            pairs: Vec::new(),
            engine: self.engine(&from.engine),
            data: from.data.iter().map(|d| Datum { name: d.name.clone(), value: d.value.clone() }).collect(),
            customer: ForCustomer {
                oil: from.customer.oil.clone(),
                coolant: from.customer.coolant.clone(),
                break_in: from.customer.break_in.clone(),
            },
            fasteners: Vec::new(),
            plugs: Vec::new(),
            pins: Vec::new(),
            checks: Vec::new(),
            geometry: None,
        };
        for part in &from.parts {
            let read = self.part(part, &from.materials, &sheet);
            sheet.parts.push(read);
        }
        for feature in &from.features {
            let read = self.feature(feature, &sheet);
            sheet.features.push(read);
        }
        self.named(&from.features, &mut sheet);
        self.parts_named(from, &mut sheet);
        for pair in &from.pairs {
            if let Some(read) = self.pair(pair, &sheet) {
                sheet.pairs.push(read);
            }
        }
        self.strips(&from.features, &mut sheet);
        self.hardware(from, &mut sheet);
        sheet.geometry = from.geometry.as_ref().and_then(|geometry| self.geometry(geometry, &sheet));
        sheet
    }

    fn feature(&mut self, from: &written::FeatureWritten, sheet: &Sheet) -> Feature {
        let at = format!("feature {}", from.feature);
        let part = sheet.part(&from.part).map(|(index, _)| index).unwrap_or_else(|| {
            self.fault(&at, &from.part, "a part listed under parts");
            0
        });
        let shape = Shape::from_word(&from.shape).unwrap_or_else(|| {
            self.fault(&at, &from.shape, "shaft, bore, wall, grows, shrinks or either");
            Shape::Shaft
        });
        let unit = from.unit.as_deref().map(|symbol| (symbol, Unit::from_symbol(symbol)));
        if let Some((symbol, None)) = unit {
            self.fault(&at, symbol, &format!("one of the units {}", unit_symbols()));
        }
        // The limits of a feature are written in its own unit; what follows is in the sheet's again.
        self.unit = unit.and_then(|(_, unit)| unit).unwrap_or(sheet.unit);
        let feature = self.measured(from, sheet, &at, (part, shape));
        self.unit = sheet.unit;
        feature
    }

    fn measured(
        &mut self,
        from: &written::FeatureWritten,
        sheet: &Sheet,
        at: &str,
        (part, shape): (usize, Shape),
    ) -> Feature {
        let ratio = from.rows.iter().any(|row| row.characteristic == Characteristic::Ratio.word());
        let rows: Vec<Row> = from.rows.iter().filter_map(|row| self.row(row, sheet, ratio)).collect();
        let new = rows.iter().find(|r| r.characteristic == Characteristic::Size).and_then(|r| r.new);
        let sizes = from.sizes.as_ref().and_then(|sizes| self.sizes(at, sizes, new));
        let grades = from
            .grades
            .iter()
            .filter_map(|g| {
                Some((g.grade.clone(), self.limits(&format!("{at} grade {}", g.grade), &g.limits)?))
            })
            .collect();
        Feature {
            key: from.feature.clone(),
            name: from.name.clone(),
            part,
            shape,
            unit: self.unit,
            moved_by: Vec::new(),
            made_with: Vec::new(),
            swings_on: None,
            vee: from.vee.as_ref().and_then(|vee| self.vee(at, vee)),
            lobed: from.lobed,
            lobing: from.lobing.as_deref().and_then(|digits| self.length(&format!("{at} lobing"), digits)),
            wears_as: self.wears_as(at, from, shape),
            gaskets: from.gaskets.iter().filter_map(|gasket| self.gasket(at, gasket)).collect(),
            squish: from.squish.as_ref().and_then(|squish| self.limits(&format!("{at} squish"), squish)),
            group: from.group.clone(),
            positions: from.positions.clone(),
            stations: from.stations.clone(),
            unworn: from.unworn.clone(),
            points: from.points.iter().filter_map(|point| self.point(at, point)).collect(),
            angles: from.angles.iter().filter_map(|digits| self.degrees(at, digits)).collect(),
            worked: self.worked(at, from, sheet.unit),
            directions: from.directions.clone(),
            remedies: remedies::of(from, shape, sizes.is_some()),
            sizes,
            grades,
            rows,
        }
    }

    fn gasket(&mut self, at: &str, from: &written::GasketWritten) -> Option<Gasket> {
        let up_to = self.length(&format!("{at} gasket {}", from.gasket), &from.up_to);
        let thickness = self.length(&format!("{at} gasket {}", from.gasket), &from.thickness);
        Some(Gasket { name: from.gasket.clone(), up_to: up_to?, thickness: thickness? })
    }

    fn vee(&mut self, at: &str, from: &written::VeeWritten) -> Option<Vee> {
        let angle = Length::parse(&from.angle, Unit::Degree).map(Length::exact);
        // A vee of nearly no angle, or a flat, holds nothing; one that does not see these lobes tells nothing.
        let seen = |angle: Exact| {
            let degrees = angle.to_mm();
            (10.0..180.0).contains(&degrees) && vee::factor(degrees, from.lobes) > 0.1
        };
        let angle = angle.ok().filter(|angle| seen(*angle));
        if angle.is_none() {
            let found = format!("{} degrees, {} lobes", from.angle, from.lobes);
            self.fault(
                &format!("{at} vee"),
                &found,
                "an angle under 180 degrees in which so many lobes swing",
            );
        }
        angle.map(|angle| Vee { angle, lobes: from.lobes })
    }

    fn degrees(&mut self, at: &str, digits: &str) -> Option<Exact> {
        let angle = Length::parse(digits, Unit::Degree).map(Length::exact);
        let angle = angle.ok().filter(|angle| (0.0..360.0).contains(&angle.to_mm()));
        if angle.is_none() {
            self.fault(&format!("{at} angles"), digits, "degrees from 0 to under 360");
        }
        angle
    }

    fn point(&mut self, at: &str, from: &written::PointWritten) -> Option<SurfacePoint> {
        let at = format!("{at} points");
        let across = from.across.as_deref().map(|digits| self.length(&at, digits));
        let along = self.length(&at, &from.along)?;
        // Digits that are none are a fault already; the point then goes for one of a line.
        Some(SurfacePoint { along, across: across.flatten() })
    }

    /// Features name each other, so this waits until all are read.
    fn named(&mut self, from: &[written::FeatureWritten], sheet: &mut Sheet) {
        for (index, feature) in from.iter().enumerate() {
            let mut found = Vec::new();
            for name in &feature.moved_by {
                match sheet.feature(name) {
                    Some((other, _)) if other != index => found.push(other),
                    Some(_) | None => self.fault(
                        &format!("feature {} moved-by", feature.feature),
                        name,
                        "another feature of this sheet",
                    ),
                }
            }
            let cut = self.taken_from(feature, sheet);
            let swings_on = self.other(feature, "swings-on", feature.swings_on.as_deref(), sheet);
            let rate_with = self.other(feature, "rate-with", feature.rate_with.as_deref(), sheet);
            let clock = self.other(feature, "clock", feature.clock.as_deref(), sheet);
            if let Some(feature) = sheet.features.get_mut(index) {
                for (remedy, (takes_from, off)) in feature.remedies.iter_mut().zip(cut) {
                    (remedy.takes_from, remedy.off) = (takes_from, off);
                }
                feature.moved_by = found;
                feature.swings_on = swings_on;
                feature.worked.rate_with = rate_with;
                feature.worked.clock = clock;
            }
        }
    }

    fn sizes(&mut self, at: &str, from: &written::SizesWritten, new: Option<Limits>) -> Option<SizeSeries> {
        let sign = match from.sense.as_str() {
            // A thicker wall goes with an undersized shaft, so "under" adds metal to a halved part.
            "under" => {
                if from.halved {
                    1
                } else {
                    -1
                }
            }
            "over" => 1,
            other => {
                self.fault(&format!("{at} sizes"), other, "under or over");
                1
            }
        };
        let stated = from.finish.as_ref().and_then(|finish| self.limits(&format!("{at} sizes"), finish));
        let Some(finish) = stated.or(new) else {
            self.fault(
                &format!("{at} sizes"),
                "no finish limits",
                "finish limits, or new limits in the size row",
            );
            return None;
        };
        Some(SizeSeries {
            sign,
            halved: from.halved,
            select_fit: self.steps(at, &from.select_fit),
            steps: self.steps(at, &from.steps),
            finish,
            skin: self.skin(at, from),
        })
    }

    fn skin(&mut self, at: &str, from: &written::SizesWritten) -> Option<Skin> {
        let at = format!("{at} sizes");
        match (&from.hard_to, &from.hardened_by) {
            (Some(_), _) if from.sense != "under" || from.halved => {
                self.fault(&at, "hard-to", "nothing: only what gets smaller by machining loses its skin so");
                None
            }
            (Some(step), again) => Some(Skin { whole_to: self.length(&at, step)?, again: again.clone() }),
            (None, Some(_)) => {
                self.fault(
                    &at,
                    "hardened-by without hard-to",
                    "hard-to: the last step that leaves the hard skin whole",
                );
                None
            }
            (None, None) => None,
        }
    }

    fn steps(&mut self, at: &str, digits: &[String]) -> Vec<Exact> {
        digits.iter().filter_map(|text| self.length(&format!("{at} sizes"), text)).collect()
    }

    fn length(&mut self, at: &str, digits: &str) -> Option<Exact> {
        match Length::parse(digits, self.unit) {
            Ok(length) => Some(length.exact()),
            Err(_) => {
                let expected = format!(
                    "a value in {} with at most {} decimals",
                    self.unit.symbol(),
                    self.unit.most_decimals()
                );
                self.fault(at, digits, &expected);
                None
            }
        }
    }

    fn pair(&mut self, from: &written::PairWritten, sheet: &Sheet) -> Option<Pair> {
        let at = format!("pair {}", from.pair);
        let outer = self.member(&at, &from.outer, sheet);
        let walls = from.walls.as_ref().map(|walls| self.member(&at, walls, sheet));
        let inner = self.member(&at, &from.inner, sheet);
        let row = self.row(&from.row, sheet, false);
        let reuse_directions = self.reuse_directions(&at, from, outer.as_ref(), sheet);
        let loaded = self.loaded(&at, from, walls.as_ref().and_then(Option::as_ref), sheet);
        let walls = match walls {
            Some(None) => return None,
            Some(found) => found,
            None => None,
        };
        let shell_grades =
            self.shell_grades(&at, from, [outer.as_ref(), inner.as_ref(), walls.as_ref()], sheet);
        Some(Pair {
            shell_grades,
            key: from.pair.clone(),
            name: from.name.clone(),
            outer: outer?,
            reuse_directions,
            walls,
            loaded,
            inner: inner?,
            by_grade: from.by_grade,
            row: row?,
        })
    }
}

fn unit_symbols() -> String {
    Unit::ALL.map(Unit::symbol).join(", ")
}
