//! Conversions against the constants of scipy.

use crate::ask;
use crate::chance::Chance;
use benchdrop::workbench::Amount;
use serde_json::json;

/// What scipy calls the unit, what we call it, and what both are brought to.
const UNITS: [(&str, &str, &str, f64); 9] = [
    ("inch", "in", "mm", 1e3),
    ("micron", "um", "mm", 1e3),
    ("pound_force", "lbf", "N", 1.0),
    ("kilogram_force", "kgf", "N", 1.0),
    ("psi", "psi", "kPa", 1e-3),
    ("bar", "bar", "kPa", 1e-3),
    ("liter", "l", "cc", 1e6),
    ("inch ** 3", "cu in", "cc", 1e6),
    ("pound_force * c.foot", "lbf ft", "N m", 1.0),
];

#[test]
#[ignore = "needs Python with scipy"]
fn conversions_agree_with_scipy() {
    let mut chance = Chance(1959);
    let mut cases = Vec::new();
    for _ in 0..2_000 {
        for unit in UNITS {
            cases.push((chance.between(1, 10_000_000_000), unit));
        }
    }
    let asked: Vec<_> = cases.iter().map(|(n, (name, ..))| json!([*n as f64 / 1e4, name])).collect();
    let answers = ask(
        "import scipy.constants as c\n\
         sizes = {name: eval('c.' + name) for _, name in cases}\n\
         answers = [value * sizes[name] for value, name in cases]",
        &json!(asked),
    );
    for ((n, (_, symbol, to, scale)), theirs) in cases.iter().zip(answers.as_array().unwrap()) {
        let typed = format!("{}.{:04} {symbol}", n / 10_000, n % 10_000);
        let (ours, theirs) = (Amount::read(&typed).unwrap().to(to), theirs.as_f64().unwrap() * scale);
        assert!((ours / theirs - 1.0).abs() < 1e-13, "{typed}: {ours} {to}, scipy {theirs}");
    }
}
