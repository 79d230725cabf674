//! What a person does with their hands to lift a blocker of each rule. The match names every rule, so that a new one asks for
//! its caution before it compiles.

use crate::facts::PartEvent;
use crate::stages::blocker::BlockerRule as Rule;
use crate::stages::cautions::doing::Doing;
use crate::stages::cautions::kinds::{Look, Work};

/// What lifts a blocker.
pub(super) enum Lifts {
    /// One thing that is done.
    By(Doing),
    /// A check of the sheet.
    Looks,
    /// Parts are taken off.
    TakingOff,
    /// Parts are fitted.
    Fitting,
    /// The tests the sheet asks for.
    Tests,
    /// A crack test alone.
    CrackTest,
    /// Readings.
    Readings,
    /// Work that was agreed.
    AgreedWork,
    /// What was decided about a part.
    Disposition,
    /// Trouble is got over.
    Troubles,
    /// Words on paper, something ordered or paid, or a look at what lies still.
    Words,
}

impl Lifts {
    /// Of a rule.
    pub(super) const fn of(rule: Rule) -> Self {
        match rule {
            Rule::Received => Self::By(Doing::Carrying),
            Rule::Checked | Rule::BeforeStart => Self::Looks,
            Rule::Stripped => Self::TakingOff,
            Rule::Cleaned => Self::By(Doing::Event(PartEvent::Cleaned)),
            Rule::PlugsOut | Rule::PlugsIn => Self::By(Doing::Work(Work::Plugs)),
            Rule::Bagged | Rule::Torqued | Rule::GoodWrench | Rule::FinalTorque => {
                Self::By(Doing::Tightening)
            }
            Rule::NewBolts | Rule::UnderNewBolts => Self::By(Doing::Tightening),
            Rule::PinsOut | Rule::PinsIn => Self::By(Doing::Look(Look::Timing)),
            Rule::Tested => Self::Tests,
            Rule::TestedAgain => Self::CrackTest,
            Rule::BeforeStripping | Rule::Measured | Rule::Remeasured | Rule::AsFitted => Self::Readings,
            Rule::Done => Self::AgreedWork,
            Rule::CarriedOut => Self::Disposition,
            Rule::Fitted => Self::Fitting,
            Rule::Problems => Self::Troubles,
            Rule::OldParts => Self::By(Doing::Event(PartEvent::Scrapped)),
            Rule::Authority | Rule::Stored | Rule::LookedAt | Rule::Questioned | Rule::Gauged => Self::Words,
            Rule::Decided | Rule::Disposed | Rule::Obtainable | Rule::Estimated | Rule::Approved => {
                Self::Words
            }
            Rule::CutTooSoon | Rule::Agreed | Rule::Ordered | Rule::InHand | Rule::Out => Self::Words,
            Rule::CountedBack | Rule::ReturnedSize | Rule::Demagnetised | Rule::AllCame => Self::Words,
            Rule::OwnOrder | Rule::Lubricant | Rule::NotAgain | Rule::AlwaysNew => Self::Words,
            Rule::BagsUsed | Rule::Held | Rule::Priced | Rule::Paid | Rule::Signed => Self::Words,
        }
    }
}
