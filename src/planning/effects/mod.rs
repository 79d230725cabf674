//! Knock-on effects: what a cut moves elsewhere in the engine, before anyone approves it.
//!
//! [`effects`] takes what would be cut and says, effect by effect, what stands there now, what would stand there then,
//! the limit of the sheet that decides and whether it holds. One effect is one file; trade notes E6 to E17 are the
//! rules. `bench` holds what all of them ask: what is known of a place, read or as the sheet aims at it, and how much
//! comes off what. What cannot be foretold (how far a line bore lifts the crank, what a resized rod loses) is a range,
//! and whether a limit holds is then said only where both ends agree. What the sheet does not say is said, not assumed.
//!
//! Decimal arithmetic is exact; where pi or a cosine enters, a double with the bound of its error.
//! Nothing is chosen here: which cuts are proposed and what they cost is asked elsewhere.

mod bench;
mod chamber;
mod deck;
mod effect;
mod known;
mod left;
mod linked;
mod pistons;
mod ratio;
mod rods;
mod seats;
mod springs;
mod timing;
mod walls;

pub use effect::{Amount, Effect, What};

use crate::facts::SizeWord;
use crate::judgement::Judgement;
use crate::metrology::Exact;
use crate::shop::{Job, SurfaceKey};
use bench::Bench;

/// Something that would be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cut {
    /// The surface.
    pub surface: SurfaceKey,
    /// How far.
    pub to: CutTo,
}

/// How far a surface would be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutTo {
    /// Finished to a size class: bores and journals.
    Size(SizeWord),
    /// So much taken off: of a head, a deck or a seat off that face; of main housings off the faces of the caps; of a
    /// big end off the faces of rod and cap together. Cuts of one surface add up.
    Removed(Exact),
}

/// What these cuts move, in the order a rebuilder asks; the order of the cuts does not matter. Empty without a sheet.
#[must_use]
pub fn effects(job: &Job, judgement: &Judgement, cuts: &[Cut]) -> Vec<Effect> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    let bench = Bench::of(job, judgement, sheet, cuts);
    let all = [
        pistons::effects,
        ratio::effects,
        chamber::effects,
        deck::effects,
        linked::effects,
        timing::effects,
        seats::effects,
        springs::effects,
        walls::effects,
        rods::effects,
    ];
    let of_geometry = match &sheet.geometry {
        Some(geometry) => all.iter().flat_map(|effects| effects(&bench, geometry)).collect(),
        None => bench.without_geometry(),
    };
    let mut found: Vec<Effect> = Vec::new();
    for effect in of_geometry.into_iter().chain(left::effects(&bench)) {
        // What the sheet does not say is said once, not for every cylinder.
        if !found.contains(&effect) {
            found.push(effect);
        }
    }
    found
}
