//! What the temperatures of a reading leave open.

use crate::facts::{HouseRules, Measurements, TemperatureRules};
use crate::metrology::{Exact, Expansion};
use crate::sheets::Sheet;
use crate::shop::surfaces::Warmth;

/// Gauges are steel: 11.5 ppm per degree (ISO 3650 for gauge blocks, recalled).
pub(super) const GAUGE_STEEL: Expansion = Expansion(11_500);

/// That is known to 1 ppm per degree either way (common practice).
const GAUGE_STEEL_WITHIN: Expansion = Expansion(1_000);

/// What a part is made of.
pub(super) struct Material {
    part: usize,
    pub(super) expansion: Expansion,
    /// The expansion is known to so much either way.
    within: Expansion,
    /// Standard uncertainty of a temperature that nobody took, degrees, as the house has it.
    unsaid: f64,
    /// The same of one that was taken.
    taken: f64,
}

impl Material {
    /// Of the part of this index; one that does not grow where the sheet has none.
    pub(super) fn of(sheet: &Sheet, part: usize, rules: Option<&HouseRules>) -> Self {
        let none = (Expansion(0), Expansion(0));
        let (expansion, within) =
            sheet.parts.get(part).map_or(none, |part| (part.expansion, part.expansion_within));
        let house = |of: fn(&TemperatureRules) -> f64| rules.map_or(0.0, |rules| of(&rules.temperatures));
        let (unsaid, taken) = (house(TemperatureRules::of_unsaid), house(TemperatureRules::of_taken));
        Self { part, expansion, within, unsaid, taken }
    }
}

/// Standard uncertainties of a reading of this length. Every coefficient is known to so much either way, a rectangle.
/// With the temperature of the part alone nothing was corrected, and the gauge may have been anywhere from 20 degrees
/// to that: a rectangle as wide as the larger of what the part does alone and what both do together.
///
/// With no temperature at all, and where the house says how far the room may be from 20 degrees, part and gauge lay in it
/// together and only what they grow differently is left (trade notes F). Thermometers err as the house says.
pub(super) fn warmth(set: &Measurements, length: Exact, material: &Material) -> Warmth {
    let none = Warmth { of: material.part, ..Warmth::default() };
    if !set.unit().is_length() {
        return none;
    }
    #[expect(clippy::cast_precision_loss, reason = "thousandths of a degree and of a ppm")]
    let over = |thousandths: i64, reference: i64| (thousandths - reference) as f64 / 1000.0;
    let (own, steel) = (over(material.expansion.0, 0), over(GAUGE_STEEL.0, 0));
    // Millimetres for so many ppm per degree, at so many degrees.
    let grown = |ppm: f64, degrees: f64| length.to_mm() * ppm * 1e-6 * degrees;
    let Some(part) = set.part_temperature() else {
        return Warmth { air: grown(own - steel, material.unsaid), ..none };
    };
    // Millimetres per ppm, as a standard uncertainty of a rectangle.
    let per_ppm = |temperature: i64| length.to_mm() * over(temperature, 20_000) * 1e-6 / 3_f64.sqrt();
    match set.both_temperatures() {
        Some(both) => Warmth {
            part: -per_ppm(both.part) * over(material.within.0, 0),
            gauge: per_ppm(both.gauge) * over(GAUGE_STEEL_WITHIN.0, 0),
            part_taken: -grown(own, material.taken),
            gauge_taken: grown(steel, material.taken),
            ..none
        },
        // The thermometer on the part says where that rectangle ends, and errs with it.
        None => Warmth {
            unsaid: -per_ppm(part) * own.abs().max((steel - own).abs()),
            part_taken: -grown(own, material.taken),
            ..none
        },
    }
}
