//! How hard a bolt is pulled: rules of thumb that question a typed torque and refuse nothing.
//!
//! Tension F = T / (K d) with a nut factor K for the lubricant, against the proof load of the thread's stress
//! area. Both, the proof stresses (SAE J429, ISO 898-1, recalled) and the ranges by thread are those of trade
//! notes D and H1; K scatters by 30 percent, so a percentage is a question and not a limit.

use crate::metrology::{Exact, Length, Torque, Unit};
use crate::sheets::Sheet;
use crate::sheets::fault::Fault;
use crate::sheets::hardware::{FastenerSize, Fasteners, Thread, TorqueUnit};

/// What the final torque of one size pulls, against what its grade bears.
#[derive(Clone, Debug)]
pub struct ProofLoad {
    /// The group.
    pub group: String,
    /// The size.
    pub size: String,
    /// Tension in percent of the proof load.
    pub percent: f64,
}

/// What is out of the ordinary and should be asked about; none of it refuses the sheet.
#[must_use]
pub fn questions(sheet: &Sheet) -> Vec<Fault> {
    let mut found = Vec::new();
    for group in &sheet.fasteners {
        let at = format!("fasteners {}", group.group);
        if !group.pattern_own {
            found.push(Fault::new(&at, "a generic order, not the maker's", "the maker's, from the owner"));
        } else if group.lacks_order() {
            found.push(Fault::new(&at, "no order of its own", "the maker's, from the owner"));
        }
        for size in &group.sizes {
            found.extend(pulled(group, size, &at));
            found.extend(out_of_range(group, size, &at));
        }
    }
    found
}

/// Every size that is tightened by torque alone and whose thread, grade and lubricant are known.
#[must_use]
pub fn proof_loads(sheet: &Sheet) -> Vec<ProofLoad> {
    let sizes = sheet.fasteners.iter().flat_map(|group| group.sizes.iter().map(move |size| (group, size)));
    sizes
        .filter_map(|(group, size)| {
            let percent = percent(group, size)?;
            Some(ProofLoad { group: group.group.clone(), size: size.size.clone(), percent })
        })
        .collect()
}

/// Newton metres of the last stage of a plain bolt; `None` where an angle follows or it has no grade.
fn final_torque(group: &Fasteners, size: &FastenerSize) -> Option<f64> {
    let plain = group.angles.is_empty() && !group.grade.is_empty();
    let last = group.stages_of(size).last().filter(|_| plain)?;
    Some(last.parse::<f64>().ok()? * group.torque_unit.newton_metres())
}

fn percent(group: &Fasteners, size: &FastenerSize) -> Option<f64> {
    let thread = size.thread?;
    let tension =
        final_torque(group, size)? / (nut_factor(&group.lubricant)? * thread.diameter.to_mm() / 1e3);
    Some(100.0 * tension / (stress_area(thread) * proof_stress(&group.grade)?))
}

/// Square millimetres: pi/4 (d - c p)^2, c = 0.9743 for inch and 0.9382 for metric threads (ASME B1.1 and
/// ISO 898-1, recalled).
fn stress_area(thread: Thread) -> f64 {
    let c = if thread.unit == Unit::Inch { 0.9743 } else { 0.9382 };
    let d = thread.diameter.to_mm() - c * thread.pitch.to_mm();
    std::f64::consts::FRAC_PI_4 * d * d
}

/// Megapascals.
fn proof_stress(grade: &str) -> Option<f64> {
    const PSI: f64 = 0.006_894_757_293_168;
    let bare = grade.trim_start_matches("grade").trim_start_matches("class").trim();
    match bare {
        "5" => Some(85_000.0 * PSI),
        "8" => Some(120_000.0 * PSI),
        "8.8" => Some(580.0),
        "10.9" => Some(830.0),
        _ => None,
    }
}

/// K of the first lubricant that is named: waxes and moly slip better than oil, and dry threads least (trade notes D).
fn nut_factor(lubricant: &str) -> Option<f64> {
    const FACTORS: [(&str, f64); 7] = [
        ("anti-seize", 0.12),
        ("moly", 0.12),
        ("wax", 0.12),
        ("dry", 0.20),
        ("oil", 0.15),
        ("sealant", 0.15),
        ("thread locker", 0.15),
    ];
    let lubricant = lubricant.to_lowercase();
    FACTORS.iter().find(|(word, _)| lubricant.contains(word)).map(|(_, factor)| *factor)
}

fn pulled(group: &Fasteners, size: &FastenerSize, at: &str) -> Option<Fault> {
    final_torque(group, size)?;
    let least = if group.gasket_joint { 30.0 } else { 50.0 };
    let Some(percent) = percent(group, size) else {
        let found = format!("{}, {}, {}", size.size, group.grade, group.lubricant);
        let expected =
            "a thread, grade 5, 8, 8.8 or 10.9, and a known lubricant, or the torque is not checked";
        return Some(Fault::new(at, found, expected));
    };
    let usual = (least..=90.0).contains(&percent);
    (!usual).then(|| {
        let found = format!("{}: {percent:.0} percent of proof load", size.size);
        Fault::new(at, found, format!("{least:.0} to 90 percent; is the torque right, and its unit?"))
    })
}

/// A range of final torques for one thread diameter.
struct Range {
    diameter: &'static str,
    unit: Unit,
    low: f64,
    high: f64,
    /// The low end of a cover or gasket joint.
    gasket_low: f64,
}

const fn inch(diameter: &'static str, low: f64, high: f64, gasket_low: f64) -> Range {
    Range { diameter, unit: Unit::Inch, low, high, gasket_low }
}

const fn metric(diameter: &'static str, low: f64, high: f64, gasket_low: f64) -> Range {
    Range { diameter, unit: Unit::Millimetre, low, high, gasket_low }
}

/// Inch threads in lbf ft, metric in N m.
static RANGES: [Range; 9] = [
    inch("0.25", 6.0, 12.0, 3.0),
    inch("0.3125", 12.0, 25.0, 6.0),
    inch("0.375", 25.0, 45.0, 15.0),
    inch("0.4375", 45.0, 75.0, 45.0),
    inch("0.5", 70.0, 110.0, 70.0),
    metric("6", 8.0, 12.0, 4.0),
    metric("8", 20.0, 30.0, 8.0),
    metric("10", 40.0, 65.0, 40.0),
    metric("12", 70.0, 110.0, 70.0),
];

fn out_of_range(group: &Fasteners, size: &FastenerSize, at: &str) -> Option<Fault> {
    let (range, low, unit) = range_of(group, size)?;
    let torque = final_torque(group, size)? / unit.newton_metres();
    // A hair of rounding may not make a question of a torque that stands on the end of its range.
    let usual = (low - 1e-9..=range.high + 1e-9).contains(&torque);
    (!usual).then(|| {
        let found = format!("{}: {torque:.1} {}", size.size, unit.symbol());
        let expected =
            format!("{low} to {} {}; is the torque right, and its unit?", range.high, unit.symbol());
        Fault::new(at, found, expected)
    })
}

/// That a torque read on a plain joint is not what such a thread usually takes, in words; `None` where it is, where an angle
/// follows, and of threads without a usual range.
#[must_use]
pub fn usual_torque(group: &Fasteners, size: &FastenerSize, read: Torque) -> Option<String> {
    final_torque(group, size)?;
    let (range, low, unit) = range_of(group, size)?;
    let torque = read.newton_metres() / unit.newton_metres();
    let usual = (low - 1e-9..=range.high + 1e-9).contains(&torque);
    (!usual).then(|| {
        let ends = format!("{low} to {} {}", range.high, unit.symbol());
        format!("such a thread usually takes {ends}: is the unit right?")
    })
}

/// The usual range of a size's thread, with its low end for this joint, and the unit it is in.
fn range_of(group: &Fasteners, size: &FastenerSize) -> Option<(&'static Range, f64, TorqueUnit)> {
    let thread = size.thread?;
    let same = |range: &&Range| range.unit == thread.unit && exact(range) == Some(thread.diameter);
    let range = RANGES.iter().find(same)?;
    let unit = if thread.unit == Unit::Inch { TorqueUnit::PoundFoot } else { TorqueUnit::NewtonMetre };
    Some((range, if group.gasket_joint { range.gasket_low } else { range.low }, unit))
}

/// How much more or less a joint is clamped when the same torque is put on with another lubricant: clamp is T / (K d), so
/// the ratio of the two K. `None` of a lubricant whose K nobody knows, and where both are one.
#[must_use]
pub fn clamp_instead(used: &str, stated: &str) -> Option<String> {
    let (used, stated) = (nut_factor(used)?, nut_factor(stated)?);
    let percent = 100.0 * (stated / used - 1.0);
    let (more, percent) = (percent > 0.0, percent.abs());
    (percent >= 1.0).then(|| {
        let side = if more { "more" } else { "less" };
        format!("the same torque then clamps about {percent:.0} percent {side} (K {used:.2} instead of {stated:.2})")
    })
}

fn exact(range: &Range) -> Option<Exact> {
    Length::parse(range.diameter, range.unit).ok().map(Length::exact)
}
