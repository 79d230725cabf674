//! Parts with their material and scopes.

use crate::metrology::Expansion;
use crate::sheets::Sheet;
use crate::sheets::metal::Metal;
use crate::sheets::names::same_name;
use crate::sheets::part::Part;
use crate::sheets::read::Reader;
use crate::sheets::written;

impl Reader {
    pub(super) fn part(
        &mut self,
        from: &written::PartWritten,
        materials: &[written::MaterialWritten],
        sheet: &Sheet,
    ) -> Part {
        let at = format!("part {}", from.part);
        let material = materials.iter().find(|m| same_name(&m.material, &from.material));
        let (expansion, expansion_within) = match material {
            Some(material) => {
                (self.expansion(&at, &material.expansion), self.expansion(&at, &material.uncertainty))
            }
            None => {
                self.fault(&at, &from.material, "a material listed under materials");
                (Expansion(0), Expansion(0))
            }
        };
        let metal = material.and_then(|material| material.metal.as_deref());
        let metal = metal.and_then(|word| {
            self.known(&at, word, Metal::from_word(word), &Metal::ALL.map(Metal::word).join(", "))
        });
        let mut part = Part {
            key: from.part.clone(),
            expansion,
            expansion_within,
            material: from.material.clone(),
            renewed: from.renewed,
            positions: from.positions.clone(),
            scopes: self.scopes(&at, &from.scopes, sheet),
            strip: from.strip,
            look: from.look,
            crack_test: from.crack_test,
            pressure_test: from.pressure_test,
            sized_by: from.sized_by.clone(),
            before: from.before.clone(),
            fitted: from.fitted,
            // Parts name each other, so this waits until all are read.
            sits_on: Vec::new(),
            crushed: from.crushed,
            metal,
            sodium_filled: from.sodium_filled,
        };
        let told = || Metal::of_name(&from.material, expansion);
        part.metal = part.metal.or_else(told).or_else(|| part.is_aluminium().then_some(Metal::Aluminium));
        part
    }

    /// Parts that others name.
    pub(super) fn parts_named(&mut self, from: &written::SheetWritten, sheet: &mut Sheet) {
        for (index, part) in from.parts.iter().enumerate() {
            let found = self.known_parts(&format!("part {} sits-on", part.part), &part.sits_on, sheet);
            if found.contains(&index) {
                self.fault(&format!("part {} sits-on", part.part), &part.part, "another part of this sheet");
            }
            if let Some(part) = sheet.parts.get_mut(index) {
                part.sits_on = found.into_iter().filter(|other| *other != index).collect();
            }
        }
        for (index, feature) in from.features.iter().enumerate() {
            let at = format!("feature {} made-with", feature.feature);
            let found = self.known_parts(&at, &feature.made_with, sheet);
            if let Some(feature) = sheet.features.get_mut(index) {
                feature.made_with = found;
            }
        }
    }

    /// Indices of part kinds by their names.
    pub(super) fn known_parts(&mut self, at: &str, from: &[String], sheet: &Sheet) -> Vec<usize> {
        let mut found = Vec::new();
        for key in from {
            match sheet.part(key) {
                Some((index, _)) => found.push(index),
                None => self.fault(at, key, "a part listed under parts"),
            }
        }
        found
    }

    /// Scopes as written, each of which the sheet must have.
    pub(super) fn scopes(&mut self, at: &str, from: &[String], sheet: &Sheet) -> Vec<String> {
        for scope in from {
            if !sheet.scopes.iter().any(|s| same_name(&s.key, scope)) {
                self.fault(at, scope, "a scope listed under scopes");
            }
        }
        from.to_vec()
    }

    /// Parts per million with up to three decimals, as thousandths.
    fn expansion(&mut self, at: &str, digits: &str) -> Expansion {
        let (whole, decimals) = digits.split_once('.').unwrap_or((digits, "0"));
        let thousandths = format!("{whole}{decimals:0<3}");
        match thousandths.parse::<i64>() {
            Ok(value) if decimals.len() <= 3 && (0..=200_000).contains(&value) => Expansion(value),
            Ok(_) | Err(_) => {
                self.fault(at, digits, "expansion in ppm per degree, 0 to 200 with at most three decimals");
                Expansion(0)
            }
        }
    }
}
