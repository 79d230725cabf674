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
            metal,
            sodium_filled: from.sodium_filled,
        };
        let told = || Metal::of_name(&from.material, expansion);
        part.metal = part.metal.or_else(told).or_else(|| part.is_aluminium().then_some(Metal::Aluminium));
        part
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
