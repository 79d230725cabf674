//! The drive of the cam: slack of chain or belt, and how much later an overhead cam runs.

use super::bench::Bench;
use super::effect::{Amount, Effect, Range, Rule, What, shown};
use super::linked::shafts_closer;
use crate::metrology::Exact;
use crate::sheets::{Geometry, Role, ValveGear};

const TIMING: Rule = Rule(
    "later by x/r at the cam and twice that at the crank; x times the cosine where the driving run leans",
    "trade notes E7",
);
const DRIVE: Rule = Rule("crank and cam come closer by as much", "trade notes E7, E17");

pub(super) fn effects(bench: &Bench<'_>, geometry: &Geometry) -> Vec<Effect> {
    let mut found = Vec::new();
    for (bank, name) in Bench::banks(geometry).iter().enumerate() {
        let closer = shafts_closer(bench, geometry, bank);
        if closer.high == Exact::ZERO {
            continue;
        }
        if let Some(ValveGear::OverheadCam { radius, angle }) = geometry.valve_gear {
            found.push(radius.map_or_else(
                || {
                    let lacks = "the sheet does not say the pitch radius of the cam sprocket: the cam runs later, check \
                                 it with a degree wheel";
                    Effect::missing(What::CamTiming, lacks, TIMING)
                },
                |radius| later(bench, closer, (radius, angle), name),
            ));
        }
        found.push(slack(bench, geometry, closer, name));
    }
    found
}

/// Degrees at the crank.
fn degrees(closer: Exact, radius: Exact, angle: Exact) -> f64 {
    2.0 * (closer.to_mm() * angle.to_mm().to_radians().cos() / radius.to_mm()).to_degrees()
}

fn later(bench: &Bench<'_>, closer: Range, (radius, angle): (Exact, Exact), bank: &str) -> Effect {
    let amount = |value: f64| Amount::Computed {
        value,
        error: 16.0 * f64::EPSILON * value.abs(),
        unit: "degrees later at the crank",
        places: 2,
    };
    let [low, high] = [closer.low, closer.high].map(|x| degrees(x, radius, angle));
    let most = amount(high);
    let then = if closer.low == closer.high { most.words() } else { format!("{low:.2} to {}", most.words()) };
    let unit = bench.sheet.unit;
    Effect::new(What::CamTiming, bank, then, TIMING).worth(most).step(format!(
        "{:.2} degrees at the cam: {} over a pitch radius of {}",
        high / 2.0,
        closer.words(unit),
        shown(radius, unit)
    ))
}

fn slack(bench: &Bench<'_>, geometry: &Geometry, closer: Range, bank: &str) -> Effect {
    let unit = bench.sheet.unit;
    let then = format!("crank and cam closer by {}: slacker", closer.words(unit));
    let effect = Effect::new(What::CamDrive, bank, then, DRIVE).worth(Amount::Exact(closer.high, unit));
    let row = bench.role(geometry, Role::CamDrive).and_then(|(_, feature)| {
        let row = feature.row(crate::sheets::Characteristic::Deflection)?;
        Some((feature, row.new?.max?))
    });
    match row {
        Some((feature, most)) => {
            let mut effect = effect.step(format!("measure {} again as it goes together", feature.key));
            effect.limit = Some(format!("{} at most {}", feature.key, shown(most, feature.unit)));
            effect
        }
        None => effect
            .step("the sheet does not say how much slack there may be: see that the tensioner takes it up"),
    }
}
