//! Geometry: what is printed comes out of the sheet's own numbers, and what is named is of the right kind.

use crate::metrology::{Exact, Unit};
use crate::sheets::Sheet;
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::feature::Feature;
use crate::sheets::geometry::{Geometry, Role, Springs, nominal};
use crate::workbench::compression::Cylinder;

pub(super) fn check(sheet: &Sheet, faults: &mut Faults) {
    let Some(geometry) = &sheet.geometry else { return };
    above_zero(geometry, faults);
    for (role, index) in &geometry.features {
        if let Some(feature) = sheet.features.get(*index) {
            fits(sheet, geometry, *role, feature, faults);
        }
    }
    banks(sheet, geometry, faults);
    if let Some(springs) = &geometry.springs {
        loads(sheet, geometry, springs, faults);
    }
    if let Some(cylinder) = cylinder(sheet, geometry) {
        printed(sheet, geometry, &cylinder, faults);
    }
}

fn above_zero(geometry: &Geometry, faults: &mut Faults) {
    let gasket = geometry.head_gasket;
    let springs = geometry.springs.as_ref();
    let all = [
        ("stroke", Some(geometry.stroke)),
        ("footprint", geometry.footprint),
        ("head-gasket thickness", gasket.map(|gasket| gasket.thickness)),
        ("head-gasket hole", gasket.map(|gasket| gasket.hole)),
        ("springs rate", springs.map(|springs| springs.rate)),
        ("springs solid", springs.map(|springs| springs.solid)),
        ("least-squish", geometry.least_squish),
        ("manifold-factor", geometry.manifold_factor),
    ];
    for (name, value) in all {
        if value.is_some_and(|value| value <= Exact::ZERO) {
            faults.push(Fault::new(
                format!("geometry {name}"),
                "nought or less",
                "a value above nought, or left out",
            ));
        }
    }
    let shims = springs.map(|springs| springs.shims.as_slice()).unwrap_or_default();
    let ascending = shims.windows(2).all(|two| matches!(two, [a, b] if a < b));
    if !ascending || shims.iter().any(|shim| *shim <= Exact::ZERO) {
        faults.push(Fault::new(
            "geometry springs shims",
            "shims out of order",
            "shims that ascend from nought",
        ));
    }
}

/// A feature in its role: judged by what the role needs, alone in it, and with a position for each cylinder.
fn fits(sheet: &Sheet, geometry: &Geometry, role: Role, feature: &Feature, faults: &mut Faults) {
    let at = format!("geometry features {}", role.word());
    if !role.judged().iter().any(|c| feature.row(*c).is_some()) {
        let words: Vec<&str> = role.judged().iter().map(|c| c.word()).collect();
        faults.push(Fault::new(&at, &feature.key, format!("a feature with a row of {}", words.join(" or "))));
    }
    if !role.is_shared() && geometry.all(role).count() > 1 {
        faults.push(Fault::new(&at, "several features", "one feature"));
    }
    let bores = geometry.of(Role::Bore).and_then(|bore| sheet.features.get(bore));
    if role.is_by_cylinder() && bores.is_some_and(|bores| bores.positions != feature.positions) {
        faults.push(Fault::new(&at, feature.positions.join(", "), "the positions of the bore"));
    }
}

/// Where deck or head has several positions, banks say which cylinders each has.
fn banks(sheet: &Sheet, geometry: &Geometry, faults: &mut Faults) {
    for role in [Role::DeckHeight, Role::HeadThickness] {
        let Some(feature) = geometry.of(role).and_then(|index| sheet.features.get(index)) else { continue };
        let names: Vec<&String> = geometry.banks.iter().map(|bank| &bank.name).collect();
        let several = feature.positions.len() > 1 || !names.is_empty();
        if several && feature.positions.iter().collect::<Vec<_>>() != names {
            let expected =
                format!("banks named as the positions of {}: {}", feature.key, feature.positions.join(", "));
            faults.push(Fault::new("geometry banks", format!("{names:?}"), expected));
        }
    }
    let mut all: Vec<usize> = geometry.banks.iter().flat_map(|bank| bank.cylinders.iter().copied()).collect();
    all.sort_unstable();
    let bores = geometry.of(Role::Bore).and_then(|index| sheet.features.get(index));
    let count = bores.map_or(0, |bores| bores.positions.len());
    if !geometry.banks.is_empty() && all != (0..count).collect::<Vec<_>>() {
        faults.push(Fault::new("geometry banks", "some cylinders", "each cylinder in one bank"));
    }
}

/// Rate times what the spring is pressed together is the load the sheet aims at, to the whole unit of force it is in.
fn loads(sheet: &Sheet, geometry: &Geometry, springs: &Springs, faults: &mut Faults) {
    let feature = |role: Role| geometry.of(role).and_then(|index| sheet.features.get(index));
    let aimed = |role: Role| nominal(feature(role)?, role.judged());
    let (Some(height), Some(free)) = (aimed(Role::SpringHeight), aimed(Role::SpringLength)) else { return };
    let (load, unit) = springs.load(free, height, sheet.unit);
    let Some((loads, stated)) = feature(Role::SpringLoad).zip(aimed(Role::SpringLoad)) else { return };
    let Some(load) = unit.bring(load, loads.unit) else {
        let found = format!("{} in {}", loads.key, loads.unit.symbol());
        return faults.push(Fault::new("geometry spring load", found, "a feature in lbf or N"));
    };
    if (stated - load).abs() > Exact::nearest(0.5) {
        let words = format!("{}, rate times free length less installed height", shown_in(load, loads.unit));
        let found = format!("a load of {}", shown_in(stated, loads.unit));
        faults.push(Fault::new("geometry springs rate", found, words));
    }
}

fn shown_in(load: Exact, unit: Unit) -> String {
    format!("{} {}", load.show(unit), unit.symbol())
}

/// The cylinder at the sheet's own sizes; `None` where the sheet does not say enough.
fn cylinder(sheet: &Sheet, geometry: &Geometry) -> Option<Cylinder> {
    let feature = |role: Role| geometry.of(role).and_then(|index| sheet.features.get(index));
    let bore = feature(Role::Bore)?.new_limits(None)?.min?;
    let chamber = match feature(Role::Chamber) {
        Some(feature) => nominal(feature, Role::Chamber.judged())?,
        None => Exact::ZERO,
    };
    let gasket = geometry.head_gasket?;
    Some(Cylinder {
        bore: bore.to_mm(),
        stroke: geometry.stroke.to_mm(),
        chamber: (chamber + geometry.recess).to_mm(),
        gasket: (gasket.hole.to_mm(), gasket.thickness.to_mm()),
        deck: Geometry::below_deck(feature(Role::PistonAtDeck)?)?.to_mm(),
        dish: geometry.dish.to_mm(),
        crevice: 0.0,
    })
}

fn printed(sheet: &Sheet, geometry: &Geometry, cylinder: &Cylinder, faults: &mut Faults) {
    let bores = geometry.of(Role::Bore).and_then(|index| sheet.features.get(index));
    #[expect(clippy::cast_precision_loss, reason = "an engine has few cylinders")]
    let count = bores.map_or(0, |bores| bores.positions.len()) as f64;
    let figures = [
        ("compression-ratio", &geometry.ratio, cylinder.ratio()),
        ("displacement", &geometry.displacement, cylinder.swept() * count),
    ];
    for (name, digits, computed) in figures {
        let Some(digits) = digits else { continue };
        let places = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        let shown = format!("{computed:.places$}");
        if *digits != shown {
            let words = format!("{shown}, from bore, stroke and volumes");
            faults.push(Fault::new(format!("geometry {name}"), digits, words));
        }
    }
    let standard = bores.and_then(|bores| bores.new_limits(None)).and_then(|new| new.max);
    let hole = geometry.head_gasket.map(|gasket| gasket.hole);
    if standard.zip(hole).is_some_and(|(bore, hole)| hole < bore) {
        faults.push(Fault::new("geometry head-gasket hole", "smaller than a new bore", "at least the bore"));
    }
}
