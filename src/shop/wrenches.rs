//! The wrench of each tightening, as it was then: what is the matter with it, and whether the torque lies in its range.

use crate::facts::{Body, Fact, HouseRules};
use crate::metrology::Torque;
use crate::sheets::{Fasteners, same_name};
use crate::shop::gauge_state::GaugeState;
use crate::shop::shop_wide::Shop;

/// What is known of the wrench of a tightening.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WrenchNow {
    /// Nobody named one.
    NotNamed,
    /// A mark that no gauge of the shop has.
    Unknown,
    /// As it was when it was recorded.
    Known(Box<GaugeState>),
}

impl WrenchNow {
    pub(super) fn of(shop: &Shop, rules: Option<&HouseRules>, fact: &Fact, mark: &str) -> Self {
        if mark.trim().is_empty() {
            return Self::NotNamed;
        }
        shop.gauge_state(mark, &fact.head.recorded, rules)
            .map_or(Self::Unknown, |state| Self::Known(Box::new(state)))
    }

    /// Why it does not prove how tight a joint is, each in words, what weighs most first; for the torque that counts,
    /// where it is known.
    #[must_use]
    pub fn faults(&self, torque: Option<Torque>) -> Vec<String> {
        match self {
            Self::NotNamed => Vec::new(),
            Self::Unknown => {
                vec!["nobody said what it is: drop it as a gauge, with its range and when its calibration is due".to_owned()]
            }
            Self::Known(state) => {
                let doubts =
                    state.flags.iter().filter(|flag| flag.kind.is_doubt()).map(|flag| flag.words.clone());
                let outside = match &state.range {
                    Some(range) => torque.and_then(|torque| range.outside(torque)),
                    None => Some(format!(
                        "{} is a {}, and nobody said from what to what torque it goes: drop it as a gauge with its range",
                        state.mark, state.instrument
                    )),
                };
                doubts.chain(outside).collect()
            }
        }
    }
}

/// The last torque of each size at these places (of all where none are named), where these stages have it (all where none
/// are named): what the joint's tightness rests on. Of stages before it none counts.
#[must_use]
pub fn torques_that_count(group: &Fasteners, stages: &[usize], places: &[String]) -> Vec<Torque> {
    let at = |size: &&crate::sheets::FastenerSize| {
        places.is_empty()
            || size.places.iter().any(|known| places.iter().any(|place| same_name(known, place)))
    };
    let of_size = |size: &crate::sheets::FastenerSize| {
        let torques = group.stages_of(size);
        // A lower stage that a bigger wrench did harms nothing: the last one is what counts.
        let done = stages.is_empty() || stages.contains(&torques.len());
        Torque::parse(torques.last().filter(|_| done)?, group.torque_unit.symbol())
    };
    group.sizes.iter().filter(at).filter_map(of_size).collect()
}

/// What puts the wrenches of a drop in doubt, in words with the name of the drop; `None` where nothing does.
#[must_use]
pub fn doubts_of_wrenches(shop: &Shop, rules: Option<&HouseRules>, fact: &Fact) -> Option<String> {
    let Body::Assembly(assembly) = &fact.body else { return None };
    let mut all = Vec::new();
    for torque in &assembly.torque {
        let faults = WrenchNow::of(shop, rules, fact, &torque.wrench).faults(None);
        if !faults.is_empty() {
            all.push(format!("{}: {}", torque.wrench, faults.join("; ")));
        }
    }
    (!all.is_empty()).then(|| format!("{} {}", fact.id.hex(), all.join("; ")))
}
