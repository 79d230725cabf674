//! The shop: what the accepted facts say, folded into jobs and shop-wide things.
//!
//! [`FactSet`] holds the statements of one job, or of the shop, by name. [`Shop::fold`] and [`Job::fold`] are
//! pure functions of such a set: no arrival, no clock, no earlier state goes in, so any order, any batching
//! and any repetition gives the same result (promise 3). Order among facts is recorded time, ties by digest.
//!
//! Folding resolves what facts say about each other: withdrawals, corrections, revisions, replaced parts,
//! the condition and size basis of each reading. What cannot be resolved yet is *held* with its reason and
//! does nothing until history answers. Nothing is judged here: whether a reading is good is asked further down.

mod bags;
mod books;
mod corrections;
mod decisions;
mod findings;
mod fold;
mod gauge_in_use;
mod gauge_life;
mod gauge_state;
mod gauges;
mod held;
mod history;
mod job;
mod one_reading;
mod orders;
mod part_life;
mod parts;
mod places;
mod readings;
mod said;
mod set;
mod shop_wide;
mod sources;
mod studies;
mod surfaces;
mod together;
mod touched;
mod troubles;
mod void;
mod warmth;
mod wrenches;

pub use bags::{Bag, PieceCount};
pub use books::{ApprovalNow, Books, EstimateNow, SupplyNow};
pub use decisions::{Accepted, Agreed, ApartNow, Confirmed, Disposed, HalfStepsNow, Piece, Signed};
pub use findings::{FindingNow, PictureNow, Problem, Score, Tried};
pub use gauge_in_use::{GaugeInUse, Origin};
pub use gauge_state::{FlagKind, GaugeFlag, GaugeState};
pub use gauges::GaugeNow;
pub use held::{Held, HeldWhy};
pub use job::Job;
pub use one_reading::OneReading;
pub use orders::{Back, Order, StillOut};
pub use part_life::{FittedNow, OutWith, PartLife, TestNow, Worked};
pub use places::{PartPlace, position_of};
pub use said::Said;
pub use set::{FactSet, Named};
pub use shop_wide::Shop;
pub use studies::{Differ, GaugeStudied, Hand, StudyNow};
pub use surfaces::{
    Between, Condition, Done, Place, Reading, ReadingSet, SetKey, Surface, SurfaceKey, Warmth,
};
pub use together::{CheckNow, Joint, Tightened, bolts_of};
pub use touched::{Thing, Touched, Touching};
pub use wrenches::{WrenchNow, doubts_of_wrenches, torques_that_count};

/// The number of the rules in this program; printed with everything that leaves the house, so that a paper
/// can be matched to the code that judged it. Raised whenever the same facts could give another outcome.
///
/// 2: certificates and studies of a gauge take the place of its figure part by part, and what temperatures leave open
/// counts.
/// 3: a setting is one draw for all people who read with the gauge and an unsaid temperature one for a drop; people are told
/// apart by folded name; what people differ by counts in every question; of places out on one side the furthest counts;
/// readings that give no value are a gap.
/// 4: a set worn much and evenly is asked about, and what is no diameter where it is further past new than wear takes it.
/// 5: bolts have an order of the maker's or the owner is asked; wrenches are gauges, and a final torque is held against the
/// sheet; plays are asked for before anything comes off; pieces that came out unfit stay out; beyond is
/// proven only of what noise seldom makes of a good part.
/// 6: so are the loosest and the tightest of many pairs of places, and the wear of the worst of many; a joint tightened
/// too far stays so until its bolts were looked at or are new; an engine that ran before its oil pressure was seen is looked
/// into; a crack and a later word that denies it are asked about; what makes room for another piece is not measured any more;
/// stripped and missing bolts are problems; a magnet holds neither stainless nor titanium.
/// 7: with another cap a housing is another housing; what sat on a part goes in anew with another piece of it, and a gasket
/// that was clamped and let go is a new one; what was bad while it ran is explained before it counts as good.
/// 8: exchanged digits and missed turns that lead a gap or a length back to what is new are asked about at half the distance,
/// a corner at a third, and a feeler has no turn; a thermometer errs too where only the part's temperature is given;
/// what people differ by stands when one of them is studied again alone.
/// 9: wear from an unworn size that nobody read is proven beyond only where it is so from either new limit; what a study finds
/// people to differ by from part to part is in each place they read; a bend that the oval under the indicator may explain is not
/// proven; swings of neighbours and ends of a set in percent are apart either way; repeats are narrowed person by person.
/// 10: a position unlike the others of its feature is asked about, and of two places of one gap those that do not go together;
/// what is fresh and no diameter past half the width of new, evenly out past all of it; millimetres finer than any gauge shows.
pub const RULE_SET: u32 = 10;
