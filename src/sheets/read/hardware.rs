//! The kind of engine, fasteners, plugs, pins and checks.

use super::Reader;
use crate::metrology::{Exact, Length, Unit};
use crate::sheets::Sheet;
use crate::sheets::bolt_order::{Layout, LayoutRow};
use crate::sheets::engine::{BoreSurface, Cams, Check, CheckBy, CheckStage, EngineKind, Follows, Fuel};
use crate::sheets::hardware::{
    AlwaysNew, EngagedIn, FastenerSize, Fasteners, PlugSize, Plugs, Thread, TorqueUnit,
};
use crate::sheets::names::same_name;
use crate::sheets::reads::Reads;
use crate::sheets::written;

impl Reader {
    pub(super) fn engine(&mut self, from: &written::EngineWritten) -> EngineKind {
        let surface = from.bore_surface.as_deref().map(|word| {
            let read = BoreSurface::from_word(word);
            self.known(
                "engine bore-surface",
                word,
                read,
                "plain iron, cast-in sleeve, coated, high-silicon or wet liner",
            )
        });
        let torque_plate = match from.torque_plate.as_deref() {
            Some("asked") => true,
            Some("not asked") | None => false,
            Some(other) => {
                self.fault("engine torque-plate", other, "asked or not asked");
                false
            }
        };
        EngineKind {
            bore_surface: surface.flatten().unwrap_or_default(),
            bedplate: from.bedplate,
            torque_plate,
            interference: from.interference,
            fuel: from.fuel.as_deref().and_then(|word| {
                self.known("engine fuel", word, Fuel::from_word(word), "petrol, gas or diesel")
            }),
            cams: from.cams.as_deref().and_then(|word| {
                self.known("engine cams", word, Cams::from_word(word), "in block or overhead")
            }),
        }
    }

    pub(super) fn hardware(&mut self, from: &written::SheetWritten, sheet: &mut Sheet) {
        sheet.fasteners = from.fasteners.iter().filter_map(|f| self.fasteners(f, sheet)).collect();
        sheet.plugs = from.plugs.iter().filter_map(|p| self.plugs(p, sheet)).collect();
        sheet.pins = from.pins.iter().filter_map(|p| self.plugs(p, sheet)).collect();
        sheet.checks = from.checks.iter().filter_map(|c| self.check(c, sheet)).collect();
    }

    /// A word that was looked up, or a fault that says which words there are.
    pub(super) fn known<T>(&mut self, at: &str, word: &str, read: Option<T>, expected: &str) -> Option<T> {
        if read.is_none() {
            self.fault(at, word, expected);
        }
        read
    }

    fn torque_unit(&mut self, at: &str, word: &str) -> Option<TorqueUnit> {
        self.known(&format!("{at} torque-unit"), word, TorqueUnit::from_symbol(word), "lbf ft or N m")
    }

    fn fasteners(&mut self, from: &written::FastenersWritten, sheet: &Sheet) -> Option<Fasteners> {
        let at = format!("fasteners {}", from.group);
        let engaged_in = from.engaged_in.as_deref().map(|word| {
            self.known(
                &format!("{at} engaged-in"),
                word,
                EngagedIn::from_word(word),
                "iron, aluminium or steel",
            )
        });
        let mut clamps = Vec::new();
        for key in &from.clamps {
            match sheet.feature(key) {
                Some((index, _)) => clamps.push(index),
                None => self.fault(&format!("{at} clamps"), key, "a feature listed under features"),
            }
        }
        let holds = self.known_parts(&format!("{at} holds"), &from.holds, sheet);
        let pattern_own = match from.pattern_source.as_deref() {
            Some("sheet") | None => true,
            Some("generic, not the maker's") => false,
            Some(other) => {
                self.fault(&format!("{at} pattern-source"), other, "sheet, or generic, not the maker's");
                true
            }
        };
        Some(Fasteners {
            group: from.group.clone(),
            name: from.name.clone(),
            scopes: self.scopes(&at, &from.scopes, sheet),
            sizes: from.sizes.iter().map(|size| self.fastener_size(&at, size)).collect(),
            grade: from.grade.clone(),
            lubricant: from.lubricant.clone(),
            torque_unit: self.torque_unit(&at, &from.torque_unit)?,
            stages: from.stages.clone(),
            other_stages: from.other_stages.clone(),
            angles: from.angles.clone(),
            pattern: from.pattern.clone(),
            pattern_words: from.pattern_words.clone(),
            layout: from.layout.as_ref().map(layout),
            pattern_own,
            single_use: from.single_use,
            renewed: from.renewed.clone(),
            always_new: from
                .always_new
                .iter()
                .map(|new| AlwaysNew { what: new.what.clone(), count: new.count })
                .collect(),
            gasket_joint: from.gasket_joint,
            engaged_in: engaged_in.flatten(),
            holds,
            clamps,
            wet: from.wet,
            note: from.note.clone(),
        })
    }

    fn fastener_size(&mut self, at: &str, from: &written::FastenerSizeWritten) -> FastenerSize {
        let at = format!("{at} size {}", from.size);
        let mut length = |digits: &Option<String>| digits.as_deref().and_then(|d| self.length(&at, d));
        let (under_head, stack, hole) = (length(&from.length), length(&from.stack), length(&from.hole));
        FastenerSize {
            size: from.size.clone(),
            count: from.count,
            places: from.places.clone(),
            thread: from.thread.as_ref().and_then(|thread| self.thread(&at, thread)),
            length: under_head,
            stack,
            hole,
            stages: from.stages.clone(),
            other_stages: from.other_stages.clone(),
        }
    }

    fn thread(&mut self, at: &str, from: &written::ThreadWritten) -> Option<Thread> {
        let unit = if from.pitch.is_some() { Unit::Millimetre } else { Unit::Inch };
        let read = match (from.per_inch, &from.pitch) {
            (Some(per_inch), None) => thread_of(&from.diameter, Unit::Inch).zip(pitch_of(per_inch)),
            (None, Some(pitch)) => {
                thread_of(&from.diameter, Unit::Millimetre).zip(thread_of(pitch, Unit::Millimetre))
            }
            (Some(_), Some(_)) | (None, None) => None,
        };
        let expected = "a diameter with per-inch (inches) or with pitch (millimetres)";
        let read = read.filter(|(diameter, pitch)| Exact::ZERO < *pitch && *pitch < *diameter);
        self.known(&format!("{at} thread"), &from.diameter, read, expected).map(|(diameter, pitch)| Thread {
            unit,
            diameter,
            pitch,
        })
    }

    fn plugs(&mut self, from: &written::PlugsWritten, sheet: &Sheet) -> Option<Plugs> {
        let at = format!("plugs {}", from.group);
        let size = |from: &written::PlugSizeWritten| PlugSize {
            size: from.size.clone(),
            count: from.count,
            torque: from.torque.clone(),
            other_torque: from.other_torque.clone(),
        };
        let sits_in = from.sits_in.as_deref().and_then(|name| {
            let found = sheet.part(name).map(|(index, _)| index);
            self.known(&format!("{at} sits-in"), name, found, "a part listed under parts")
        });
        Some(Plugs {
            group: from.group.clone(),
            name: from.name.clone(),
            scopes: self.scopes(&at, &from.scopes, sheet),
            sizes: from.sizes.iter().map(size).collect(),
            sealant: from.sealant.clone(),
            torque_unit: self.torque_unit(&at, from.torque_unit.as_deref().unwrap_or("N m"))?,
            renewed: from.renewed,
            sits_in,
            note: from.note.clone(),
        })
    }

    fn follows(&mut self, at: &str, names: &[String], sheet: &Sheet) -> Vec<Follows> {
        let mut follows = Vec::new();
        for name in names {
            let group = sheet.fasteners.iter().position(|group| same_name(&group.group, name));
            // The head is no part that is said to be fitted, but the name of its bolts.
            let part = sheet.part(name).filter(|(_, part)| part.fitted || group.is_none());
            let read = part.map(|(index, _)| Follows::Part(index)).or(group.map(Follows::Group));
            let expected = "a part listed under parts, or a group listed under fasteners";
            follows.extend(self.known(&format!("{at} after"), name, read, expected));
        }
        follows
    }

    fn looked_at_after(&mut self, at: &str, names: &[String], sheet: &Sheet) -> Vec<usize> {
        let mut parts = Vec::new();
        for name in names {
            let found = sheet.part(name).map(|(index, _)| index);
            parts.extend(self.known(&format!("{at} before-start"), name, found, "a part listed under parts"));
        }
        parts
    }

    fn check(&mut self, from: &written::CheckWritten, sheet: &Sheet) -> Option<Check> {
        let at = format!("check {}", from.check);
        let stage = self.known(
            &at,
            &from.stage,
            CheckStage::from_word(&from.stage),
            "checked in, teardown, inspection, machining, reassembly or released",
        );
        let by = self.known(&at, &from.by, CheckBy::from_word(&from.by), "bench, checker or owner");
        let reads = from.reads.as_ref().and_then(|reads| {
            let read = Reads::of(&reads.unit, reads.min.as_deref(), reads.max.as_deref());
            let found = [&reads.min, &reads.max].map(|bound| bound.as_deref().unwrap_or("-")).join(" to ");
            self.known(
                &at,
                &format!("{found} {}", reads.unit),
                read,
                "min and max in this order, in psi, kPa, bar, deg C, deg F, s, min or rpm",
            )
        });
        Some(Check {
            key: from.check.clone(),
            stage: stage?,
            by: by?,
            scopes: self.scopes(&at, &from.scopes, sheet),
            words: from.words.clone(),
            second: from.second,
            after: from.after.as_ref().map(|names| self.follows(&at, names, sheet)),
            always: from.always,
            reads,
            before_start: self.looked_at_after(&at, &from.before_start, sheet),
            runs: from.runs,
        })
    }
}

fn layout(from: &written::LayoutWritten) -> Layout {
    let row =
        |row: &written::LayoutRowWritten| LayoutRow { name: row.name.clone(), places: row.places.clone() };
    Layout { left: from.left.clone(), right: from.right.clone(), rows: from.rows.iter().map(row).collect() }
}

fn thread_of(digits: &str, unit: Unit) -> Option<Exact> {
    Length::parse(digits, unit).ok().map(Length::exact)
}

fn pitch_of(per_inch: u32) -> Option<Exact> {
    let inch = Length::parse("1", Unit::Inch).ok()?;
    (per_inch > 0).then(|| inch.exact().part(1, i128::from(per_inch)))
}
