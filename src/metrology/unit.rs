//! Units that readings and limits are written in.
//!
//! Lengths share one grid, so inches and millimetres meet without conversion. Every other unit has a grid of
//! its own, and what is brought from one to another goes through an exact fraction.

use crate::metrology::length::Exact;
use num_rational::Ratio;

/// Grid units in one millimetre, and in one of every unit that is no length: the grid is 0.1 nm, or 0.0000001.
///
/// 0.000001 in = 25.4 nm = 254 units and half of it 127; 0.00001 mm = 100 units and half of it 50
/// (1 in = 25.4 mm exactly, international yard and pound agreement of 1959).
pub(super) const GRID: i64 = 10_000_000;

/// Grid units in one inch.
const GRID_INCH: i64 = 254_000_000;

/// The unit a person or a sheet writes in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    /// Inch, written to at most 6 decimals.
    Inch,
    /// Millimetre, written to at most 5 decimals.
    Millimetre,
    /// Cubic centimetre: volumes.
    CubicCentimetre,
    /// Pound-force: spring loads.
    PoundForce,
    /// Newton: spring loads.
    Newton,
    /// Gram: weights.
    Gram,
    /// Pound-force per square inch: pressures.
    Psi,
    /// Kilopascal: pressures.
    Kilopascal,
    /// Bar: pressures.
    Bar,
    /// Inch of mercury, conventional: vacuum that a valve holds.
    InchMercury,
    /// Degree of angle.
    Degree,
    /// Part of a hundred.
    Percent,
    /// Microinch: roughness.
    Microinch,
    /// Micrometre: roughness.
    Micrometre,
    /// Pound-force per inch: rates of springs.
    PoundForcePerInch,
    /// Newton per millimetre: rates of springs.
    NewtonPerMillimetre,
    /// So many to one: a ratio of like things.
    ToOne,
}

/// What a unit is a unit of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// in, mm.
    Length,
    /// cc.
    Volume,
    /// lbf, N.
    Force,
    /// g.
    Mass,
    /// psi, kPa, bar, inHg.
    Pressure,
    /// deg.
    Angle,
    /// %.
    Share,
    /// uin, um.
    Roughness,
    /// lbf/in, N/mm.
    Rate,
    /// to 1.
    Ratio,
}

impl Unit {
    /// Every unit, lengths first.
    pub const ALL: [Self; 17] = [
        Self::Inch,
        Self::Millimetre,
        Self::CubicCentimetre,
        Self::PoundForce,
        Self::Newton,
        Self::Gram,
        Self::Psi,
        Self::Kilopascal,
        Self::Bar,
        Self::InchMercury,
        Self::Degree,
        Self::Percent,
        Self::Microinch,
        Self::Micrometre,
        Self::PoundForcePerInch,
        Self::NewtonPerMillimetre,
        Self::ToOne,
    ];

    /// Its symbol, as drops and sheets write it.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Inch => "in",
            Self::Millimetre => "mm",
            Self::CubicCentimetre => "cc",
            Self::PoundForce => "lbf",
            Self::Newton => "N",
            Self::Gram => "g",
            Self::Psi => "psi",
            Self::Kilopascal => "kPa",
            Self::Bar => "bar",
            Self::InchMercury => "inHg",
            Self::Degree => "deg",
            Self::Percent => "%",
            Self::Microinch => "uin",
            Self::Micrometre => "um",
            Self::PoundForcePerInch => "lbf/in",
            Self::NewtonPerMillimetre => "N/mm",
            Self::ToOne => "to 1",
        }
    }

    /// From its symbol.
    #[must_use]
    pub fn from_symbol(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.symbol() == text)
    }

    /// What it is a unit of.
    #[must_use]
    pub const fn quantity(self) -> Quantity {
        match self {
            Self::Inch | Self::Millimetre => Quantity::Length,
            Self::CubicCentimetre => Quantity::Volume,
            Self::PoundForce | Self::Newton => Quantity::Force,
            Self::Gram => Quantity::Mass,
            Self::Psi | Self::Kilopascal | Self::Bar | Self::InchMercury => Quantity::Pressure,
            Self::Degree => Quantity::Angle,
            Self::Percent => Quantity::Share,
            Self::Microinch | Self::Micrometre => Quantity::Roughness,
            Self::PoundForcePerInch | Self::NewtonPerMillimetre => Quantity::Rate,
            Self::ToOne => Quantity::Ratio,
        }
    }

    /// A unit of length?
    #[must_use]
    pub const fn is_length(self) -> bool {
        matches!(self.quantity(), Quantity::Length)
    }

    /// What goes with inches or with millimetres; `None` for a unit of something else.
    #[must_use]
    pub fn of_length<T>(self, inches: T, millimetres: T) -> Option<T> {
        match (self.is_length(), self == Self::Inch) {
            (true, true) => Some(inches),
            (true, false) => Some(millimetres),
            (false, _) => None,
        }
    }

    /// How many decimals a reading may have.
    #[must_use]
    pub const fn most_decimals(self) -> u32 {
        if matches!(self, Self::Millimetre) { 5 } else { 6 }
    }

    /// How many decimals the trade writes at least.
    #[must_use]
    pub const fn usual_decimals(self) -> u32 {
        match self {
            Self::Inch => 4,
            Self::Millimetre => 3,
            Self::ToOne => 2,
            Self::CubicCentimetre
            | Self::Gram
            | Self::Degree
            | Self::Percent
            | Self::Bar
            | Self::InchMercury
            | Self::Micrometre
            | Self::PoundForcePerInch
            | Self::NewtonPerMillimetre => 1,
            Self::PoundForce | Self::Newton | Self::Psi | Self::Kilopascal | Self::Microinch => 0,
        }
    }

    /// Grid units in one of it.
    pub(super) const fn grid(self) -> i64 {
        if matches!(self, Self::Inch) { GRID_INCH } else { GRID }
    }

    /// How many of the numbers that [`Exact::to_mm`] gives are one of this unit: 25.4 for the inch, else 1.
    #[must_use]
    pub const fn scale(self) -> f64 {
        if matches!(self, Self::Inch) { 25.4 } else { 1.0 }
    }

    /// How many of the first of its quantity's units one of it is, as a fraction: newtons, kilopascals,
    /// micrometres, newtons per millimetre. One for lengths, whose grid they share, and for what has one unit only.
    ///
    /// 1 lbf = 4.4482216152605 N exactly (0.45359237 kg times 9.80665 m/s2), 1 psi = 1 lbf on 645.16 mm2; a conventional
    /// inch of mercury is 25.4 mm of 13 595.1 kg/m3 at 9.80665 m/s2.
    const fn in_first(self) -> (i128, i128) {
        match self {
            Self::PoundForce => (44_482_216_152_605, 10_000_000_000_000),
            Self::Psi => (44_482_216_152_605, 6_451_600_000_000),
            Self::Bar => (100, 1),
            Self::InchMercury => (3_386_388_640_341, 1_000_000_000_000),
            Self::Microinch => (127, 5_000),
            Self::PoundForcePerInch => (44_482_216_152_605, 254_000_000_000_000),
            Self::Inch
            | Self::Millimetre
            | Self::CubicCentimetre
            | Self::Newton
            | Self::Gram
            | Self::Kilopascal
            | Self::Degree
            | Self::Percent
            | Self::Micrometre
            | Self::NewtonPerMillimetre
            | Self::ToOne => (1, 1),
        }
    }

    /// What a value on this unit's grid is multiplied by to stand on the grid of another unit of the same
    /// quantity; `None` where the quantities differ.
    fn ratio_to(self, other: Self) -> Option<(i128, i128)> {
        if self.quantity() != other.quantity() {
            return None;
        }
        if self.is_length() || self as u8 == other as u8 {
            return Some((1, 1));
        }
        let ((numer, denom), (over, under)) = (self.in_first(), other.in_first());
        // Brought to lowest terms, so that a value times it stays in range.
        let ratio = Ratio::new(numer, denom) / Ratio::new(over, under);
        Some((*ratio.numer(), *ratio.denom()))
    }

    /// A value written in this unit, exactly, on the grid of `other`; `None` where the quantities differ.
    #[must_use]
    pub fn bring(self, value: Exact, other: Self) -> Option<Exact> {
        let (numer, denom) = self.ratio_to(other)?;
        Some(if numer == denom { value } else { value.part(numer, denom) })
    }

    /// The same for a figure of uncertainty, to the nearest double.
    #[must_use]
    pub fn factor_to(self, other: Self) -> Option<f64> {
        #[expect(clippy::cast_precision_loss, reason = "the nearest double is what is asked for")]
        self.ratio_to(other).map(|(numer, denom)| numer as f64 / denom as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::Length;

    fn value(digits: &str, unit: Unit) -> Exact {
        Length::parse(digits, unit).expect("digits").exact()
    }

    /// 1 lbf = 4.4482216152605 N and 1 psi = 6.894757293168 kPa (NIST SP 811, appendix B.8, recalled).
    #[test]
    fn brings_force_and_pressure_over() {
        let newtons = Unit::PoundForce.bring(value("86", Unit::PoundForce), Unit::Newton).expect("force");
        assert!((newtons.to_mm() - 382.547_058_912).abs() < 1e-8, "{newtons:?}");
        let kpa = Unit::Psi.bring(value("150", Unit::Psi), Unit::Kilopascal).expect("pressure");
        assert!((kpa.to_mm() - 1_034.213_593_975).abs() < 1e-8, "{kpa:?}");
        assert_eq!(Unit::Newton.bring(newtons, Unit::PoundForce), Some(value("86", Unit::PoundForce)));
        assert_eq!(Unit::Kilopascal.bring(kpa, Unit::Psi), Some(value("150", Unit::Psi)));
    }

    /// 1 inHg = 3.386389 kPa conventional, 1 uin = 0.0254 um, 1 lbf/in = 0.1751268 N/mm (NIST SP 811, appendix B.8, recalled;
    /// the last is 4.4482216 N over 25.4 mm).
    #[test]
    fn brings_vacuum_roughness_and_rate_over() {
        for (digits, from, to, expected) in [
            ("20", Unit::InchMercury, Unit::Kilopascal, 67.727_772_8),
            ("10", Unit::Bar, Unit::Psi, 145.037_738),
            ("15", Unit::Microinch, Unit::Micrometre, 0.381),
            ("276", Unit::PoundForcePerInch, Unit::NewtonPerMillimetre, 48.335_006_5),
        ] {
            let brought = from.bring(value(digits, from), to).expect("one quantity");
            assert!((brought.to_mm() - expected).abs() < 1e-6, "{digits} {}: {brought:?}", from.symbol());
            assert_eq!(to.bring(brought, from), Some(value(digits, from)));
        }
    }

    #[test]
    fn quantities_do_not_mix() {
        for from in Unit::ALL {
            for to in Unit::ALL {
                let brought = from.bring(value("1", from), to);
                assert_eq!(brought.is_some(), from.quantity() == to.quantity(), "{from:?} {to:?}");
            }
        }
    }

    #[test]
    fn shows_what_is_no_length() {
        assert_eq!(value("86", Unit::PoundForce).show(Unit::PoundForce), "86");
        assert_eq!(value("86.50", Unit::PoundForce).show(Unit::PoundForce), "86.5");
        assert_eq!(value("58", Unit::CubicCentimetre).show(Unit::CubicCentimetre), "58.0");
        assert_eq!(value("-1.25", Unit::Degree).show(Unit::Degree), "-1.25");
    }
}
