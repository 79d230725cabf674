//! A caution as it is said of this engine: what does not concern it is left out, and parts are named.

use crate::sheets::{Cams, Fuel, Metal, Part, Sheet};
use crate::stages::cautions::doing::Doing;
use crate::stages::cautions::hazard::{Hazard, Only};
use crate::stages::cautions::kinds::Handled;
use std::collections::BTreeSet;

/// How many parts are named; of more it is said how many they are.
const NAMED: usize = 6;

/// One caution in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// What hurts.
    pub hazard: Hazard,
    /// How not to be hurt, with the parts it is about.
    pub words: String,
}

impl Caution {
    /// Title and words in a line.
    #[must_use]
    pub fn line(&self) -> String {
        format!("{}: {}", self.hazard.title(), self.words)
    }
}

/// The cautions of what is done to these parts (indices in the sheet; every part where empty), each once.
#[must_use]
pub fn cautions(sheet: Option<&Sheet>, done: &[(Doing, Vec<usize>)]) -> Vec<Caution> {
    let mut found: BTreeSet<Hazard> = BTreeSet::new();
    found.extend(done.iter().flat_map(|(doing, _)| doing.hazards()));
    let said = found.into_iter().filter_map(|hazard| {
        let own = done.iter().filter(|(doing, _)| doing.hazards().contains(&hazard));
        let own: Vec<&[usize]> = own.map(|(_, parts)| parts.as_slice()).collect();
        worded(hazard, sheet, &own)
    });
    said.collect()
}

fn worded(hazard: Hazard, sheet: Option<&Sheet>, parts: &[&[usize]]) -> Option<Caution> {
    let said = |before: &str| Some(Caution { hazard, words: format!("{before}{}", hazard.words()) });
    let engine = sheet.map(|sheet| sheet.engine);
    let handled = handled(sheet, parts);
    let of_metal = |asked: fn(Metal) -> bool, unsaid: &str| {
        of_parts(&handled, unsaid, |part| part.metal.map(asked)).and_then(|before| said(&before))
    };
    match hazard.only() {
        Only::Always => said(""),
        Only::Spark => match engine.and_then(|engine| engine.fuel) {
            Some(Fuel::Diesel) => None,
            Some(Fuel::Petrol | Fuel::Gas) | None => said(""),
        },
        Only::Diesel => match engine.and_then(|engine| engine.fuel) {
            Some(Fuel::Diesel) => said(""),
            None => said("if it is a diesel, "),
            Some(Fuel::Petrol | Fuel::Gas) => None,
        },
        Only::Interference => match engine.and_then(|engine| engine.interference) {
            Some(true) => said(""),
            None => said("if its valves meet the pistons, "),
            Some(false) => None,
        },
        Only::OverheadCams => match engine.and_then(|engine| engine.cams) {
            Some(Cams::Overhead) => said(""),
            None => said("if its cams lie in the head, "),
            Some(Cams::InBlock) => None,
        },
        Only::DissolvesInCaustic => {
            of_metal(Metal::dissolves_in_caustic, "what is aluminium, magnesium or zinc: ")
        }
        Only::Magnesium => of_metal(|metal| metal == Metal::Magnesium, "what is magnesium: "),
        Only::NotMagnetic => of_metal(
            |metal| !metal.is_magnetic() && metal != Metal::NoMetal,
            "what is aluminium, bronze, titanium or austenitic stainless: ",
        ),
        Only::Magnetic => {
            let is_any = handled.is_empty() || handled.iter().any(|p| p.metal.is_none_or(Metal::is_magnetic));
            is_any.then(|| said("")).flatten()
        }
        Only::Sodium => {
            let is_filled = |part: &Part| match Handled::of(&part.key) {
                Handled::Valve => part.sodium_filled,
                Handled::Gasket
                | Handled::Spring
                | Handled::PistonPin
                | Handled::Piston
                | Handled::Injection
                | Handled::Heavy
                | Handled::CamDrive
                | Handled::Cam
                | Handled::Exhaust
                | Handled::Electric
                | Handled::Wet
                | Handled::Other => Some(part.sodium_filled == Some(true)),
            };
            let before = of_parts(&handled, "a valve that is sodium-filled: ", is_filled)?;
            said(&before)
        }
    }
}

/// The parts at hand; every part of the engine where one of them is about all.
fn handled<'s>(sheet: Option<&'s Sheet>, parts: &[&[usize]]) -> Vec<&'s Part> {
    let Some(sheet) = sheet else { return Vec::new() };
    let all = parts.iter().any(|parts| parts.is_empty());
    let at_hand = |index: usize| all || parts.iter().any(|parts| parts.contains(&index));
    sheet.parts.iter().enumerate().filter(|(index, _)| at_hand(*index)).map(|(_, part)| part).collect()
}

/// The names of the parts that are so, with a colon; where none is and of some it is not known, the words for that; `None`
/// where it is known of each that it is not.
fn of_parts(parts: &[&Part], unsaid: &str, is_so: impl Fn(&Part) -> Option<bool>) -> Option<String> {
    let named: Vec<&str> =
        parts.iter().filter(|part| is_so(part) == Some(true)).map(|part| part.key.as_str()).collect();
    if named.is_empty() {
        let unknown = parts.is_empty() || parts.iter().any(|part| is_so(part).is_none());
        return unknown.then(|| unsaid.to_owned());
    }
    let more = named.len().saturating_sub(NAMED);
    let shown: Vec<&str> = named.iter().take(NAMED).copied().collect();
    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
    Some(format!("{}{more}: ", shown.join(", ")))
}
