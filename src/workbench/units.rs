//! The units an owner types and reads, each as an exact fraction of the SI unit of its quantity.
//!
//! The inch, the pound and standard gravity are exact by definition (yard and pound agreement of 1959: 1 in = 25.4 mm,
//! 1 lb = 0.45359237 kg; SI brochure: 9.80665 m/s2), so every factor here is too: 1 lbf = 4.4482216152605 N, 1 psi = 1
//! lbf on 645.16 mm2, 1 lbf ft = 12 lbf in = 1.3558179483314004 N m. Only a printed figure is rounded.

use num_rational::Ratio;

/// What an amount is an amount of; amounts of two quantities never meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// in, mm, um, uin, ft.
    Length,
    /// cc, cu in, litre.
    Volume,
    /// lbf, N, kN, kgf.
    Force,
    /// lbf ft, lbf in, N m, kgf m.
    Torque,
    /// psi, ksi, kPa, MPa, bar: pressures and stresses.
    Pressure,
    /// degC, degF.
    Temperature,
    /// cP (mPa s), Pa s, reyn: dynamic viscosity.
    Viscosity,
    /// rpm, rev/s.
    Speed,
    /// lbf/in, N/mm: rates of springs.
    Rate,
}

/// A unit: how it is printed, what else people type for it, and its size.
#[derive(Debug)]
pub struct Unit {
    /// As printed.
    pub symbol: &'static str,
    /// What else is taken for it, without spaces, hyphens, dots and capitals.
    also: &'static [&'static str],
    /// What it is a unit of.
    pub quantity: Quantity,
    /// How many of the quantity's own unit (m, m3, N, N m, Pa, K, Pa s, revolutions a second, N/m) one of it is: a fraction.
    size: (i128, i128),
    /// Where its zero stands, in the same unit as a fraction; of temperatures only.
    zero: (i128, i128),
    /// What it is brought over to when no other unit is asked for.
    counterpart: &'static str,
}

const fn unit(
    quantity: Quantity,
    symbol: &'static str,
    also: &'static [&'static str],
    size: (i128, i128),
    counterpart: &'static str,
) -> Unit {
    Unit { symbol, also, quantity, size, zero: (0, 1), counterpart }
}

const NEWTONS: i128 = 44_482_216_152_605; // in a pound-force, times 10^13
const TEN_13: i128 = 10_000_000_000_000;

/// Every unit; of each quantity the one that is named first in a question of it.
const UNITS: [Unit; 29] = [
    unit(Quantity::Length, "mm", &[], (1, 1_000), "in"),
    unit(Quantity::Length, "in", &["\"", "inch", "inches"], (254, 10_000), "mm"),
    unit(Quantity::Length, "um", &["\u{b5}m", "\u{3bc}m", "micron", "microns"], (1, 1_000_000), "in"),
    unit(
        Quantity::Length,
        "uin",
        &["\u{b5}in", "\u{3bc}in", "microinch", "microinches"],
        (254, 10_000_000_000),
        "um",
    ),
    unit(Quantity::Length, "ft", &["foot", "feet", "'"], (3_048, 10_000), "mm"),
    unit(Quantity::Volume, "cc", &["cm3", "ccm", "ml"], (1, 1_000_000), "cu in"),
    unit(Quantity::Volume, "cu in", &["in3", "ci", "cid"], (16_387_064, TEN_13 / 10), "cc"),
    unit(Quantity::Volume, "l", &["litre", "liter", "litres", "liters"], (1, 1_000), "cu in"),
    unit(Quantity::Force, "N", &[], (1, 1), "lbf"),
    unit(Quantity::Force, "kN", &[], (1_000, 1), "lbf"),
    unit(Quantity::Force, "lbf", &["lb", "lbs"], (NEWTONS, TEN_13), "N"),
    unit(Quantity::Force, "kgf", &["kg", "kp"], (980_665, 100_000), "N"),
    unit(Quantity::Torque, "N m", &[], (1, 1), "lbf ft"),
    unit(
        Quantity::Torque,
        "lbf ft",
        &["lbft", "ftlb", "ftlbs", "ftlbf"],
        (NEWTONS * 3_048, TEN_13 * 10_000),
        "N m",
    ),
    unit(
        Quantity::Torque,
        "lbf in",
        &["lbin", "inlb", "inlbs", "inlbf"],
        (NEWTONS * 254, TEN_13 * 10_000),
        "N m",
    ),
    unit(Quantity::Torque, "kgf m", &["kgm", "mkg", "kpm"], (980_665, 100_000), "N m"),
    unit(Quantity::Pressure, "kPa", &[], (1_000, 1), "psi"),
    unit(Quantity::Pressure, "psi", &["lbf/in2", "lb/in2"], (NEWTONS, TEN_13 / 100_000_000 * 64_516), "kPa"),
    unit(Quantity::Pressure, "ksi", &[], (NEWTONS * 1_000, TEN_13 / 100_000_000 * 64_516), "MPa"),
    unit(Quantity::Pressure, "MPa", &["n/mm2"], (1_000_000, 1), "psi"),
    unit(Quantity::Pressure, "bar", &[], (100_000, 1), "psi"),
    unit(Quantity::Viscosity, "cP", &["mpas", "cps"], (1, 1_000), "reyn"),
    unit(Quantity::Viscosity, "reyn", &["lbfs/in2"], (NEWTONS, TEN_13 / 100_000_000 * 64_516), "cP"),
    unit(Quantity::Speed, "rpm", &["rev/min", "r/min"], (1, 60), "rev/s"),
    unit(Quantity::Speed, "rev/s", &["r/s"], (1, 1), "rpm"),
    unit(Quantity::Rate, "N/mm", &[], (1_000, 1), "lbf/in"),
    unit(Quantity::Rate, "lbf/in", &["lb/in", "lbs/in"], (NEWTONS * 10_000, TEN_13 * 254), "N/mm"),
    Unit {
        symbol: "degC",
        also: &["c", "\u{b0}c"],
        quantity: Quantity::Temperature,
        size: (1, 1),
        zero: (27_315, 100),
        counterpart: "degF",
    },
    Unit {
        symbol: "degF",
        also: &["f", "\u{b0}f"],
        quantity: Quantity::Temperature,
        size: (5, 9),
        zero: (45_967, 180),
        counterpart: "degC",
    },
];

/// What was typed, in the form the table has: people write `N·m`, `N-m`, `Nm` and `N m`.
fn bare(text: &str) -> String {
    text.chars()
        .filter(|c| !matches!(c, ' ' | '-' | '\u{b7}' | '*' | '.' | '^'))
        .collect::<String>()
        .to_lowercase()
}

impl Unit {
    /// From what people write for it.
    #[must_use]
    pub fn named(text: &str) -> Option<&'static Self> {
        let text = bare(text);
        UNITS.iter().find(|unit| bare(unit.symbol) == text || unit.also.contains(&text.as_str()))
    }

    /// The units of a quantity, as a list to read.
    #[must_use]
    pub fn list(quantity: Quantity) -> String {
        let symbols: Vec<&str> =
            UNITS.iter().filter(|unit| unit.quantity == quantity).map(|unit| unit.symbol).collect();
        symbols.join(", ")
    }

    /// Every unit, as a list to read.
    #[must_use]
    pub fn all() -> String {
        UNITS.iter().map(|unit| unit.symbol).collect::<Vec<_>>().join(", ")
    }

    /// The unit it is usually brought over to.
    #[must_use]
    pub fn counterpart(&self) -> &'static Self {
        let named = UNITS.iter().find(|unit| unit.symbol == self.counterpart);
        // The table names only units it has, which a test holds; a unit is its own counterpart else.
        named.unwrap_or(&UNITS[0])
    }

    /// How many of `other` one of it is: an exact fraction. Both are of one quantity.
    #[must_use]
    pub fn factor(&self, other: &Self) -> Ratio<i128> {
        Ratio::new(self.size.0, self.size.1) / Ratio::new(other.size.0, other.size.1)
    }

    /// A value of this unit in another of the same quantity, exactly.
    #[must_use]
    pub fn bring(&self, value: Ratio<i128>, other: &Self) -> Ratio<i128> {
        let zero = |unit: &Self| Ratio::new(unit.zero.0, unit.zero.1);
        let apart = (zero(self) - zero(other)) / Ratio::new(other.size.0, other.size.1);
        value * self.factor(other) + apart
    }
}
