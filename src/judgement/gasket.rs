//! The gasket that the highest part chooses.
//!
//! The sheet's bands have no holes: each gasket serves up to its own edge and from the edge before. The highest
//! part of the engine decides for all. Within U of an edge the number alone does not choose, so both gaskets
//! are shown with the squish each leaves: gasket less protrusion.

use crate::judgement::errors::PlaceError;
use crate::judgement::rules::Present;
use crate::metrology::{Exact, Unit};
use crate::sheets::{Characteristic, Feature, Gasket, Sheet};
use crate::shop::SurfaceKey;
use std::collections::BTreeMap;

/// What the highest part chooses.
#[derive(Clone, Debug, PartialEq)]
pub struct GasketChoice {
    /// The surface that stands highest.
    pub highest: SurfaceKey,
    /// How far it stands proud.
    pub protrusion: Exact,
    /// Expanded uncertainty of that, k = 2, millimetres; `None` without a figure.
    pub expanded: Option<f64>,
    /// The unit of all this.
    pub unit: Unit,
    /// By number first, then the neighbour within U; empty outside every band: ask.
    pub gaskets: Vec<GasketLeaves>,
}

/// A gasket and what it leaves.
#[derive(Clone, Debug, PartialEq)]
pub struct GasketLeaves {
    /// As it is marked.
    pub name: String,
    /// Compressed.
    pub thickness: Exact,
    /// Left between part and head.
    pub squish: Exact,
}

impl GasketChoice {
    /// `gasket 1.300 mm (2 notches) leaves 0.745 mm`.
    #[must_use]
    pub fn words(&self) -> String {
        let show = |value: Exact| format!("{} {}", value.show(self.unit), self.unit.symbol());
        let one =
            |g: &GasketLeaves| format!("gasket {} ({}) leaves {}", show(g.thickness), g.name, show(g.squish));
        let all: Vec<String> = self.gaskets.iter().map(one).collect();
        match all.len() {
            0 => format!(
                "the highest stands {}, outside every gasket of the sheet: ask",
                show(self.protrusion)
            ),
            1 => format!("the highest stands {}: {}", show(self.protrusion), all.concat()),
            _ => format!(
                "the highest stands {}, within U of an edge: {}",
                show(self.protrusion),
                all.join("; or ")
            ),
        }
    }
}

/// The choices of a sheet's gaskets, for features measured at every position.
pub(super) fn choices(sheet: &Sheet, present: &BTreeMap<SurfaceKey, Present>) -> Vec<GasketChoice> {
    let features = sheet.features.iter().enumerate().filter(|(_, feature)| !feature.gaskets.is_empty());
    features.filter_map(|(index, feature)| choice(index, feature, present)).collect()
}

fn choice(index: usize, feature: &Feature, present: &BTreeMap<SurfaceKey, Present>) -> Option<GasketChoice> {
    let places = feature.stations.len() * feature.directions.len();
    let mut all = Vec::new();
    for position in 0..feature.positions.len() {
        let key = SurfaceKey { feature: index, position };
        // A part that is not measured may be the highest.
        let values = &present.get(&key).filter(|found| found.values.len() == places)?.values;
        all.extend(values.values().map(|value| (key, value)));
    }
    let (highest, value) = all.into_iter().max_by(|a, b| a.1.mean.cmp(&b.1.mean).then(b.0.cmp(&a.0)))?;
    let expanded = value.error.as_ref().map(|error| {
        // An interval is at most its half-width off.
        error.interval.map_or_else(|| 2.0 * PlaceError::combined(error), |interval| interval.most())
    });
    let gaskets = gaskets_for(feature, value.mean, expanded);
    Some(GasketChoice { highest, protrusion: value.mean, expanded, unit: feature.unit, gaskets })
}

/// The gaskets of a feature for a highest part that stands so far proud, known to `expanded` (k = 2, millimetres): by
/// number first, then the neighbour within U; none outside every band.
#[must_use]
pub fn gaskets_for(feature: &Feature, highest: Exact, expanded: Option<f64>) -> Vec<GasketLeaves> {
    let least = feature.row(Characteristic::Protrusion).and_then(|row| row.new).and_then(|new| new.min);
    fitting(&feature.gaskets, least, highest, expanded.unwrap_or(0.0))
}

/// The gasket whose band holds the protrusion, then its neighbours within U of the edge between them.
fn fitting(gaskets: &[Gasket], least: Option<Exact>, protrusion: Exact, u: f64) -> Vec<GasketLeaves> {
    let by_number = gaskets
        .iter()
        .position(|gasket| protrusion <= gasket.up_to)
        .filter(|_| least.is_none_or(|least| least <= protrusion));
    let Some(chosen) = by_number else { return Vec::new() };
    // Decimal limits and figures of uncertainty meet on the decimal grid, not on that of doubles.
    let near = |edge: &Gasket| (protrusion - edge.up_to).abs().to_mm() <= u * (1.0 + 1e-9);
    let before = chosen.checked_sub(1).filter(|before| gaskets.get(*before).is_some_and(near));
    let after = (chosen + 1 < gaskets.len() && gaskets.get(chosen).is_some_and(near)).then_some(chosen + 1);
    let with_u = u > 0.0;
    let neighbours = [before, after].into_iter().flatten().filter(|_| with_u);
    std::iter::once(chosen)
        .chain(neighbours)
        .filter_map(|index| gaskets.get(index))
        .map(|gasket| GasketLeaves {
            name: gasket.name.clone(),
            thickness: gasket.thickness,
            squish: gasket.thickness - protrusion,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::Length;

    fn mm(digits: &str) -> Exact {
        Length::parse(digits, Unit::Millimetre).expect("digits").exact()
    }

    fn bands() -> Vec<Gasket> {
        [("1 notch", "0.55", "1.20"), ("2 notches", "0.65", "1.30"), ("3 notches", "0.75", "1.40")]
            .map(|(name, up_to, thickness)| Gasket {
                name: name.to_owned(),
                up_to: mm(up_to),
                thickness: mm(thickness),
            })
            .to_vec()
    }

    /// The invented engine KD3 of the trade notes (H2), gasket check, computed there: what every step leaves at
    /// the ends of its band, and that 0.555 takes 1.30 and leaves 0.745.
    #[test]
    fn the_gasket_check_of_kd3() {
        let table = [
            ("0.45", "1.20", "0.75"),
            ("0.55", "1.20", "0.65"),
            ("0.55001", "1.30", "0.74999"),
            ("0.555", "1.30", "0.745"),
            ("0.65", "1.30", "0.65"),
            ("0.65001", "1.40", "0.74999"),
            ("0.75", "1.40", "0.65"),
        ];
        for (protrusion, thickness, squish) in table {
            let found = fitting(&bands(), Some(mm("0.45")), mm(protrusion), 0.0);
            assert_eq!(found.len(), 1, "{protrusion}");
            assert_eq!((found[0].thickness, found[0].squish), (mm(thickness), mm(squish)), "{protrusion}");
        }
        for outside in ["0.44999", "0.75001", "-0.1"] {
            assert!(fitting(&bands(), Some(mm("0.45")), mm(outside), 0.02).is_empty(), "{outside}");
        }
    }

    #[test]
    fn within_u_of_an_edge_both_are_shown() {
        let names = |protrusion: &str| {
            let found = fitting(&bands(), Some(mm("0.45")), mm(protrusion), 0.02);
            found.iter().map(|gasket| gasket.thickness.show(Unit::Millimetre)).collect::<Vec<_>>()
        };
        assert_eq!(names("0.56"), ["1.300", "1.200"]);
        assert_eq!(names("0.54"), ["1.200", "1.300"]);
        assert_eq!(names("0.57"), ["1.300", "1.200"], "U away exactly");
        assert_eq!(names("0.60"), ["1.300"]);
        assert_eq!(names("0.74"), ["1.400"], "there is no thicker one");
    }
}
