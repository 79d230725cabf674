//! Asking the workbench from a test, as the owner types it.

use benchdrop::workbench::{Answer, Faults, Given};

/// What stands behind each name, words apart at `|`.
pub(crate) fn asked(
    question: fn(&mut Given<'_>) -> Result<Answer, Faults>,
    typed: &[(&'static str, &str)],
) -> Result<Answer, Faults> {
    let texts: Vec<(&'static str, Vec<String>)> = typed
        .iter()
        .map(|(name, text)| (*name, text.split('|').map(|word| word.trim().to_owned()).collect()))
        .collect();
    let given: Vec<(&'static str, &[String])> =
        texts.iter().map(|(name, texts)| (*name, texts.as_slice())).collect();
    question(&mut Given::new(&given))
}

/// The digits of a result in this unit.
pub(crate) fn digits(answer: &Answer, name: &str, unit: &str) -> String {
    let line = answer.results.iter().find(|line| line.name == name);
    let line = line.unwrap_or_else(|| panic!("no {name} in {:?}", answer.results));
    let value = line.values.iter().find(|(_, of)| *of == unit);
    value.unwrap_or_else(|| panic!("{name} has no {unit}")).0.clone()
}

/// The same as a number.
pub(crate) fn number(answer: &Answer, name: &str, unit: &str) -> f64 {
    digits(answer, name, unit).parse().unwrap()
}

/// What a fault says, on one line.
pub(crate) fn words(faults: &Faults) -> String {
    faults.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}
