//! A blocker: what is missing, and who must act.

use crate::sheets::same_name;

/// Where an engine stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Received, not yet taken apart.
    CheckedIn,
    /// Coming apart.
    Teardown,
    /// Being looked at and measured.
    Inspection,
    /// Being machined, inside or outside.
    Machining,
    /// Going together.
    Reassembly,
    /// Done.
    Released,
}

impl Stage {
    const ALL: [Self; 6] = [
        Self::CheckedIn,
        Self::Teardown,
        Self::Inspection,
        Self::Machining,
        Self::Reassembly,
        Self::Released,
    ];

    /// The stage of this word, however it is written.
    pub(super) fn of_word(written: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|stage| same_name(stage.word(), written))
    }

    /// As printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::CheckedIn => "checked in",
            Self::Teardown => "teardown",
            Self::Inspection => "inspection",
            Self::Machining => "machining",
            Self::Reassembly => "reassembly",
            Self::Released => "released",
        }
    }
}

/// Who must act.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Actor {
    /// The shop's owner.
    Owner,
    /// Whoever is at the bench.
    Bench,
    /// The engine's owner.
    Customer,
    /// The machinist, inside or outside.
    Machinist,
    /// Who sells the parts.
    Supplier,
    /// A second person who looks over the work.
    Checker,
}

impl Actor {
    /// As printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::Bench => "bench",
            Self::Customer => "customer",
            Self::Machinist => "machinist",
            Self::Supplier => "supplier",
            Self::Checker => "checker",
        }
    }
}

/// The rules, with the word each is printed and waived by.
macro_rules! rules {
    ($($(#[$doc:meta])* $name:ident = $word:literal,)*) => {
        /// The rule a blocker comes from.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum BlockerRule {
            $($(#[$doc])* $name,)*
        }

        impl BlockerRule {
            const ALL: &[Self] = &[$(Self::$name,)*];

            /// As printed.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$name => $word,)*
                }
            }

            /// The rule of this word, however it is written.
            pub(super) fn of_word(written: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|rule| same_name(rule.word(), written))
            }
        }
    };
}

impl BlockerRule {
    /// The kinds of drop that lift it, the likeliest first; what comes from the shop's own files has none.
    #[must_use]
    pub const fn lifted_by(self) -> &'static [&'static str] {
        match self {
            Self::Received => &["check-in"],
            Self::Stripped | Self::Cleaned => &["part"],
            Self::CarriedOut => &["part", "operation"],
            Self::Bagged
            | Self::PlugsOut
            | Self::PinsOut
            | Self::PlugsIn
            | Self::PinsIn
            | Self::BagsUsed
            | Self::AlwaysNew => &["hardware"],
            Self::LookedAt | Self::Tested | Self::TestedAgain | Self::Problems => &["finding"],
            Self::BeforeStart => &["finding", "assembly"],
            Self::BeforeStripping
            | Self::Measured
            | Self::Remeasured
            | Self::AsFitted
            | Self::UnderNewBolts => &["measurements"],
            Self::Questioned | Self::Gauged => &["measurements", "decision"],
            Self::Authority
            | Self::Decided
            | Self::Disposed
            | Self::Approved
            | Self::OwnOrder
            | Self::Agreed
            | Self::CutTooSoon => &["decision"],
            Self::ReturnedSize | Self::Ordered => &["decision", "work-order"],
            Self::Obtainable | Self::InHand | Self::AllCame => &["supply"],
            Self::Estimated | Self::Priced | Self::Paid => &["account"],
            Self::Done => &["operation", "work-order"],
            Self::Out | Self::CountedBack | Self::Demagnetised => &["work-order"],
            Self::Checked
            | Self::Fitted
            | Self::Torqued
            | Self::FinalTorque
            | Self::Lubricant
            | Self::NotAgain
            | Self::NewBolts => &["assembly"],
            Self::GoodWrench => &["assembly", "gauge"],
            Self::Held => &["withdrawal"],
            Self::Stored => &["decision", "sign-off"],
            Self::OldParts | Self::Signed => &["sign-off"],
        }
    }
}

rules! {
    /// No check-in, no sheet, no house rules, nothing that came.
    Received = "received",
    /// Nobody gave leave to take it apart.
    Authority = "leave to take apart",
    /// The job was stopped and the engine set aside.
    Stored = "set aside",
    /// Something of the sheet was not looked at by eye, or is not good.
    Checked = "checked",
    /// A part is neither off nor missing.
    Stripped = "accounted for",
    /// A bag was not counted.
    Bagged = "bagged",
    /// Plugs were not counted out.
    PlugsOut = "plugs out",
    /// Locking pins were not counted out.
    PinsOut = "pins out",
    /// A part was not cleaned.
    Cleaned = "cleaned",
    /// A part has no finding, not even "nothing found".
    LookedAt = "looked at",
    /// A part has no crack or pressure test, or failed it.
    Tested = "tested",
    /// End play or backlash was not measured before the engine comes apart.
    BeforeStripping = "measured before stripping",
    /// Places the sheet asks for are not measured.
    Measured = "measured",
    /// Readings are questioned.
    Questioned = "questioned",
    /// Readings were taken with a gauge that proves nothing.
    Gauged = "good gauge",
    /// Something is beyond its limit and nobody has decided.
    Decided = "decided",
    /// A finding that matters has no decision.
    Disposed = "what becomes of it",
    /// Parts in an agreed size are not known to be had.
    Obtainable = "can be had",
    /// There is no estimate.
    Estimated = "estimated",
    /// The money is not approved.
    Approved = "approved",
    /// Work was done or ordered before money and crack test allowed it.
    CutTooSoon = "leave to cut",
    /// Work was done that was not agreed, or to another size.
    Agreed = "agreed",
    /// Another size or operation is ordered than was agreed, or nothing was.
    Ordered = "ordered as agreed",
    /// Parts are not here that must be in hand for a cut.
    InHand = "in hand",
    /// Agreed work is not done.
    Done = "done",
    /// What was decided about a part is not carried out.
    CarriedOut = "carried out",
    /// Parts are out, or were refused.
    Out = "out",
    /// Fewer parts came back than went out.
    CountedBack = "counted back",
    /// Work came back in another size than ordered.
    ReturnedSize = "returned size",
    /// What came back after a test by magnetic particles may be a magnet.
    Demagnetised = "demagnetised",
    /// What was worked on is not measured again, or does not pass.
    Remeasured = "measured again",
    /// What was ground, welded or straightened is not crack tested again.
    TestedAgain = "tested again",
    /// Plugs in are not plugs out.
    PlugsIn = "plugs in",
    /// Fewer came than were ordered.
    AllCame = "all came",
    /// What is asked of the assembled engine is not measured, or does not pass.
    AsFitted = "as fitted",
    /// A part is not fitted, not new where it must be, or of another size.
    Fitted = "fitted",
    /// The sheet has no order of the maker's for a joint.
    OwnOrder = "order of bolts",
    /// A joint is not tightened through all its stages.
    Torqued = "tightened",
    /// A joint was tightened with a wrench that proves nothing.
    GoodWrench = "good wrench",
    /// The final torque read on a joint is not the sheet's.
    FinalTorque = "final torque",
    /// A joint was tightened with another lubricant than its torque is for.
    Lubricant = "lubricant",
    /// Bolts that were tightened past yield were tightened once more.
    NotAgain = "not again",
    /// Single-use bolts are not new.
    NewBolts = "new bolts",
    /// What is always new of a joint is not new, or not counted.
    AlwaysNew = "always new",
    /// What new bolts clamp was measured under the old ones.
    UnderNewBolts = "measured under its bolts",
    /// Locking pins in hand are not locking pins out.
    PinsIn = "pins in",
    /// A bag is not used up, or what is left is not explained.
    BagsUsed = "bags used up",
    /// A problem is open.
    Problems = "open problem",
    /// It ran, and something had to be good before that and was not.
    BeforeStart = "before the first start",
    /// Something that was said of the engine could not be understood.
    Held = "held",
    /// There is no price, or it is above what was approved.
    Priced = "priced",
    /// Money is owed.
    Paid = "paid",
    /// Nobody said what became of the old parts.
    OldParts = "old parts",
    /// A step is not signed.
    Signed = "signed",
}

/// Something that keeps an engine from passing a gate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blocker {
    /// The gate.
    pub stage: Stage,
    /// The rule.
    pub rule: BlockerRule,
    /// Who must act.
    pub actor: Actor,
    /// What it is about: `main journal 3`; empty for the whole engine.
    pub about: String,
    /// What is missing and what to do.
    pub what: String,
    /// Something was done or seen that is not good, so it is heard of whatever gate the engine stands at.
    pub is_wrong: bool,
}

impl Blocker {
    /// It tells of something that went wrong already, not of what is still to be done at its gate: nobody can wait for the
    /// gate to hear of it.
    #[must_use]
    pub fn has_happened(&self) -> bool {
        let is_of_such = matches!(
            self.rule,
            BlockerRule::Agreed
                | BlockerRule::Ordered
                | BlockerRule::CutTooSoon
                | BlockerRule::CountedBack
                | BlockerRule::ReturnedSize
                | BlockerRule::GoodWrench
                | BlockerRule::FinalTorque
                | BlockerRule::Lubricant
                | BlockerRule::NotAgain
                | BlockerRule::NewBolts
                | BlockerRule::BeforeStart
        );
        self.is_wrong || is_of_such || (self.rule == BlockerRule::Remeasured && self.actor != Actor::Bench)
    }

    /// Nobody can do it any more once the engine is apart, so it is read before anything else.
    #[must_use]
    pub fn comes_first(&self) -> bool {
        self.rule == BlockerRule::BeforeStripping
    }

    /// It is asked from the beginning, as work before its gate needs the answer.
    #[must_use]
    pub fn is_asked_early(&self) -> bool {
        matches!(self.rule, BlockerRule::OwnOrder | BlockerRule::BeforeStripping)
    }
}
