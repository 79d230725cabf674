//! What a verdict tells beside its value: of the shape behind it, or of the same thing measured another way.
//!
//! None of it decides. It is what a reader with the part in hand would ask next.

use crate::judgement::words::{length, rough};
use crate::metrology::{Exact, Unit};

/// Something told beside a value.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Beside {
    /// Of a swing: the least and the most the shaft can be bent, and the out-of-round under the indicator, where known.
    Bend {
        /// With all of the ovality in the swing.
        least: Exact,
        /// With none of it.
        most: Exact,
        /// Of the journal at that position.
        out_of_round: Option<Exact>,
    },
    /// The middle of three stations against the mean of the ends, in the direction that shows most.
    Barrel {
        /// Positive where the middle is larger.
        by: Exact,
        /// The direction.
        of: String,
        /// What a straight surface shows with this gauge in 95 of 100 sets.
        floor: Option<Exact>,
    },
    /// Gaps of one ring differ along its travel by so much, as in a bore with this taper.
    GapTells {
        /// Widest less narrowest gap.
        apart: Exact,
        /// That over pi.
        taper: Exact,
    },
    /// Read between two points, which see no odd number of lobes, on what is often lobed.
    UnseenLobes,
    /// Of swings in a vee: the angle and the lobes they were brought to out-of-round by, and the factor.
    InVee(String),
    /// Of heights: both references of the surface or line that shows most.
    Zones {
        /// Width of the minimum zone: of the whole, or of the worst stretch.
        minimum: Exact,
        /// Width by least squares, of the whole.
        least_squares: Exact,
        /// Which line; empty of a surface.
        of: String,
        /// The length in any of which the limits hold.
        any: Option<Exact>,
    },
    /// Of a clearance: what the same shaft has by another stack of the sheet, such as with the shells in.
    OtherStack {
        /// The other pair.
        by: String,
        /// Its tightest and loosest.
        ends: (Exact, Exact),
        /// Further from this one than both uncertainties explain.
        apart: bool,
        /// Further than parts that lie right are, by common practice: so much.
        look_again: Option<Exact>,
    },
    /// Of the loosest or the tightest clearance of a pair: how far the engine's are apart.
    OverTheEngine {
        /// Largest less smallest of the loosest.
        by: Exact,
        /// The one at the other end.
        other: String,
        /// This is the loosest.
        is_loosest: bool,
    },
    /// Of an angle of honing marks to the deck: the one between the marks.
    IncludedAngle(Exact),
    /// Of a swing at a distance from what rocks.
    SwingAtDistance,
    /// Of weights: all of them together.
    Total(Exact),
}

impl Beside {
    /// As a sentence.
    #[must_use]
    pub fn words(&self, unit: Unit) -> String {
        match self {
            Self::Bend { least, most, out_of_round: Some(oval) } => format!(
                "bent by {} to {}: the journal is {} out of round there, half of which may be in the swing",
                rough(*least, unit),
                rough(*most, unit),
                length(*oval, unit)
            ),
            Self::Bend { most, .. } => format!(
                "bent by {} if the journal is round; its out-of-round there is not known",
                rough(*most, unit)
            ),
            Self::Barrel { by, of, floor } => barrel(*by, of, *floor, unit),
            Self::GapTells { apart, taper } => format!(
                "the gap differs by {} along its travel, as in a bore with {} of taper (a gap grows by pi times the bore)",
                length(*apart, unit),
                rough(*taper, unit)
            ),
            Self::UnseenLobes => {
                "read between two points, which see no odd number of lobes: turn it in a vee block".to_owned()
            }
            Self::InVee(words) => words.clone(),
            Self::Zones { minimum, least_squares, of, any } => {
                let of = if of.is_empty() { String::new() } else { format!("{of}: ") };
                let (zone, mean) = (rough(*minimum, unit), rough(*least_squares, unit));
                any.map_or_else(
                    || format!("{of}minimum zone {zone}, least squares {mean}"),
                    |any| {
                        format!(
                            "{of}minimum zone {zone} in the worst {}; least squares of the whole {mean}",
                            length(any, unit)
                        )
                    },
                )
            }
            Self::OtherStack { by, ends: (tightest, loosest), apart, look_again } => {
                let why = match look_again {
                    _ if *apart => ": further apart than both may be off, find out why".to_owned(),
                    Some(most) => format!(
                        ": more than {} {} apart, look again (dirt, a burr, torque, a shell in the wrong place)",
                        rough(*most, unit),
                        unit.symbol()
                    ),
                    None => String::new(),
                };
                let (tightest, loosest) = (rough(*tightest, unit), rough(*loosest, unit));
                format!("{by} comes to {tightest} to {loosest} {}{why}", unit.symbol())
            }
            Self::OverTheEngine { by, other, is_loosest } => {
                let (own, end) =
                    if *is_loosest { ("loosest", "tightest") } else { ("tightest", "loosest") };
                format!("the {own} of the engine: {} from the {end}, {other}", length(*by, unit))
            }
            Self::IncludedAngle(angle) => format!("{} included between the marks", length(*angle, unit)),
            Self::SwingAtDistance => {
                "rocked, an indicator beside the guide swings about twice the clearance: guide and stem tell the clearance".to_owned()
            }
            Self::Total(all) => format!("all of them together {}", length(*all, unit)),
        }
    }
}

fn barrel(by: Exact, of: &str, floor: Option<Exact>, unit: Unit) -> String {
    let way = if by.is_negative() { "smaller" } else { "larger" };
    let known = match floor {
        Some(floor) if by.abs() < floor => {
            format!(" (not resolved: a straight one shows up to {} in 95 of 100 sets)", rough(floor, unit))
        }
        Some(_) | None => String::new(),
    };
    format!("in the middle {} {way} than the mean of the ends, {of}{known}", rough(by.abs(), unit))
}
