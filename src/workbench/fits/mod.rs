//! Limits and fits of ISO 286 for a size: a hole's or a shaft's class, or the fit of a pair.
//!
//! The classes are metric; a size in inches is taken over exactly and stands in the step of its millimetres. Everything
//! is exact but the printed inches, which are rounded to 0.000001.
//! The standard's letters a, b, j, t and beyond u, grades other than 5 to 11 and sizes above 500 mm are not here, nor are
//! the inch classes of other standards.

mod class;
mod table;

pub use class::{Class, Zone};

use crate::workbench::answer::Answer;
use crate::workbench::given::{Amount, Faults, Given};
use crate::workbench::number::rounded;
use crate::workbench::units::Quantity;
use num_rational::Ratio;

const NANOMETRES: i128 = 1_000_000; // in a millimetre

/// Answers from `SIZE` and `CLASS`.
///
/// # Errors
/// Every fault of what was typed.
pub fn answer(given: &mut Given<'_>) -> Result<Answer, Faults> {
    let size = given.needed("SIZE", Quantity::Length, "the nominal size", "50mm or 1.9685in");
    let classes = classes(given);
    if let Some(size) = size.as_ref().filter(|size| table::step(size.exactly("mm")).is_none()) {
        given.faults.add("SIZE", format!("{} is beyond the tables, which end at 500 mm", size.show()));
    }
    let asked = given.done(size.zip(classes))?;
    asked_of(&asked.0, &asked.1).ok_or_else(|| {
        let mut faults = Faults::default();
        faults.add("CLASS", "the tables have no value for it at this size; a good one is H7/g6");
        faults
    })
}

fn classes(given: &mut Given<'_>) -> Option<Vec<Class>> {
    let Some(text) = given.text("CLASS") else {
        given.faults.add("CLASS", "the class is missing; a good one is H7/g6, H7 or g6");
        return None;
    };
    let mut classes = Vec::new();
    for part in text.split('/') {
        match Class::read(part.trim()) {
            Ok(class) => classes.push(class),
            Err(words) => given.faults.add("CLASS", format!("{words}; a good one is H7/g6, H7 or g6")),
        }
    }
    let holes: Vec<bool> = classes.iter().map(|class| class.hole).collect();
    let is_known = matches!(holes.as_slice(), [_] | [true, false]);
    if !is_known && given.faults.0.is_empty() {
        given.faults.add(
            "CLASS",
            format!("{text:?} is no hole and shaft; write the hole's class first, as in H7/g6"),
        );
    }
    is_known.then_some(classes)
}

fn asked_of(size: &Amount, classes: &[Class]) -> Option<Answer> {
    let nominal = size.exactly("mm");
    let mut answer = Answer { source: source(), ..Answer::default() };
    let mut limits = Vec::new();
    let step = table::step(nominal)?;
    let below = step.checked_sub(1).and_then(|below| table::STEPS.get(below)).copied().unwrap_or(0);
    let taken = if size.unit.symbol == "mm" { String::new() } else { format!(" = {} mm", mm(nominal)) };
    let end = table::STEPS.get(step)?;
    answer.step(format!(
        "{}{taken} stands in the step over {below} up to and including {end} mm.",
        size.show()
    ));
    for class in classes {
        let zone = class.zone(nominal)?;
        let at = |deviation: i64| nominal + Ratio::new(i128::from(deviation), NANOMETRES);
        let (low, high) = (at(zone.lower), at(zone.upper));
        let part = if class.hole { "hole" } else { "shaft" };
        answer.result(format!("{part} {}, smallest", class.name()), both(low));
        answer.result(format!("{part} {}, largest", class.name()), both(high));
        answer.step(how(class, zone, nominal)?);
        answer.step(format!("{part}: {} to {} mm.", mm(low), mm(high)));
        limits.push((low, high));
    }
    answer.formula = formula(classes);
    let names: Vec<String> = classes.iter().map(Class::name).collect();
    let mut main = format!("{} to {} mm", mm(limits.first()?.0), mm(limits.first()?.1));
    if let [hole, shaft] = limits.as_slice() {
        main = fit(&mut answer, *hole, *shaft);
    }
    answer.title = format!("{} {}: {main}", size.show(), names.join("/"));
    answer.notes.push(
        "Form (out-of-round, taper) and the temperature of the parts: the limits hold at 20 degC.".into(),
    );
    Some(answer)
}

/// Tightest and loosest of a hole and a shaft by their smallest and largest sizes; below zero is interference.
#[must_use]
pub fn apart(
    hole: (Ratio<i128>, Ratio<i128>),
    shaft: (Ratio<i128>, Ratio<i128>),
) -> (Ratio<i128>, Ratio<i128>) {
    (hole.0 - shaft.1, hole.1 - shaft.0)
}

/// The rows of a pair, and its fit in words.
fn fit(answer: &mut Answer, hole: (Ratio<i128>, Ratio<i128>), shaft: (Ratio<i128>, Ratio<i128>)) -> String {
    let zero = Ratio::from_integer(0);
    let (least, most) = apart(hole, shaft);
    answer.step(format!(
        "Tightest = smallest hole - largest shaft = {} - {} = {} mm.",
        mm(hole.0),
        mm(shaft.1),
        mm(least)
    ));
    answer.step(format!(
        "Loosest = largest hole - smallest shaft = {} - {} = {} mm.",
        mm(hole.1),
        mm(shaft.0),
        mm(most)
    ));
    if least >= zero {
        answer.result("clearance, least", both(least));
        answer.result("clearance, most", both(most));
        return format!("clearance of {} to {} mm", mm(least), mm(most));
    }
    answer.cautions = vec![PRESSING.to_owned(), crate::workbench::SHEET_DECIDES.to_owned()];
    answer.result("interference, most", both(-least));
    if most <= zero {
        answer.result("interference, least", both(-most));
        return format!("interference of {} to {} mm", mm(-most), mm(-least));
    }
    answer.result("clearance, most", both(most));
    format!("from {} mm interference to {} mm clearance", mm(-least), mm(most))
}

/// Said of every pair that can be tight.
const PRESSING: &str = "A tight pair is pressed or heated together: use the maker's procedure and limits of temperature, \
                        guard against a part that lets go of the press, and wear eye and hand protection.";

fn how(class: &Class, zone: Zone, nominal: Ratio<i128>) -> Option<String> {
    let (name, tolerance) = (class.name(), class.tolerance(nominal)?);
    let um = |nanometres: i64| {
        rounded(Ratio::new(i128::from(nanometres), 1_000), u32::from(nanometres % 1_000 != 0))
    };
    let (low, high) = if class.hole { ("EI", "ES") } else { ("ei", "es") };
    Some(format!(
        "{name}: IT{} = {tolerance} um; {low} = {} um, {high} = {} um ({high} - {low} = IT{}).",
        class.grade,
        um(zone.lower),
        um(zone.upper),
        class.grade
    ))
}

fn formula(classes: &[Class]) -> Vec<String> {
    let mut formula = Vec::new();
    for class in classes {
        formula.push(if class.hole {
            "hole: smallest = nominal + EI, largest = nominal + ES, ES - EI = IT".to_owned()
        } else {
            "shaft: smallest = nominal + ei, largest = nominal + es, es - ei = IT".to_owned()
        });
    }
    if classes.len() == 2 {
        formula.push("tightest = EI - es, loosest = ES - ei (below zero: interference)".to_owned());
    }
    formula
}

fn source() -> Vec<String> {
    vec![
        "ISO 286-1:2010 and ISO 286-2:2010, tables of tolerance grades and fundamental deviations, recalled and \
         compared with public copies; for a drawing, look into the standard."
            .to_owned(),
    ]
}

/// Millimetres to 0.001, or as fine as they are.
fn mm(value: Ratio<i128>) -> String {
    let fine = (3..=6).find(|decimals| (value * 10_i128.pow(*decimals)).is_integer());
    rounded(value, fine.unwrap_or(6))
}

fn both(value: Ratio<i128>) -> Vec<(String, &'static str)> {
    vec![(mm(value), "mm"), (rounded(value * Ratio::new(10, 254), 6), "in")]
}
