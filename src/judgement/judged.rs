//! What readings come to against their limits.

use crate::facts::Digest;
use crate::judgement::beside::Beside;
use crate::judgement::deciding::Deciding;
use crate::judgement::errors::Weighed;
use crate::judgement::values::ReadingRef;
use crate::metrology::Exact;
use crate::metrology::proof::{Certainty, decide};
use crate::sheets::Side;

/// Where the value lies, by number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Band {
    /// Within new limits.
    New,
    /// Outside new, inside the limit that decides.
    Serviceable,
    /// Outside the limit that decides, on this side.
    Beyond(Side),
}

impl Band {
    /// As printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Serviceable => "service",
            Self::Beyond(_) => "beyond",
        }
    }
}

/// How sure the band is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Proof {
    /// Inside or beyond, as the band says, with the asked probability.
    Proven,
    /// Neither side has the asked probability, or the other side has.
    NotProven,
    /// No gauge was named, or the house rules have no figure for it.
    NoFigure,
    /// Read with a gauge that proves nothing: found bad, off at zero, or never for such a surface.
    InDoubt,
}

/// One place or plane or direction and what it gives, for the page that explains.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlaceShown {
    /// `front X`, `front`, `X`.
    pub name: String,
    /// Its value; of form, signed.
    pub value: Exact,
}

/// Something the reader of a verdict should know.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Note {
    /// The value lies exactly on the limit that decides: inside by number, not proven by rule.
    OnLimit,
    /// Inside the limit that decides, outside new; said of pairs.
    OutsideNew,
    /// The form deviation is below what the gauge resolves; it is at most this.
    NotResolved(Exact),
    /// A perfect surface would show up to this with this gauge.
    NoiseFloor(Exact),
    /// Nothing could be proven against this limit by what was read.
    CannotJudge {
        /// Three readings a place by this gauge could; else a finer one must.
        three_would_do: bool,
    },
    /// Beyond by what is in hand, and not proven: a good part shows as much in up to so many of 100 sets.
    NoiseShows(u8),
    /// Two fixed directions: an oval at 45 degrees to them would not be seen.
    FixedDirections,
    /// Of three directions: the oval through them, and where its long axis lies.
    Oval {
        /// Largest less smallest diameter of the oval.
        ovality: Exact,
        /// `20 degrees from vertical towards 60 left`.
        axis: String,
    },
    /// A split housing is wider across the parting line than on the vertical, by more than U.
    WiderAcross(Exact),
    /// This is the highest part, and chooses the gasket: in words.
    Gasket(String),
    /// What is told beside the value: of shapes, of the same thing measured otherwise.
    Beside(Beside),
    /// No value was read: it lies between two blades.
    BetweenBlades {
        /// The one that goes in.
        goes_in: Exact,
        /// The one that does not.
        not_in: Exact,
    },
    /// A straightedge and feeler cannot decide a limit this fine.
    TooFineForFeeler,
    /// The places that are held against each other were read by several people, and no study says what they differ by.
    SeveralPeople,
    /// Some values were brought to 20 degrees Celsius.
    AtReference,
    /// The unworn size was not measured; this limit stood in for it.
    AssumedUnworn(Exact),
}

/// What readings come to against their limits.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The value the question asks for.
    pub value: Exact,
    /// For a clearance, the tightest beside the loosest, or the other way round.
    pub other: Option<Exact>,
    /// The limits that decide; `None` where the sheet has none and the value is information.
    pub deciding: Option<Deciding>,
    /// Band by number.
    pub band: Band,
    /// Probability of conformity to the limit that decides.
    pub probability: Option<f64>,
    /// The state that follows.
    pub proof: Proof,
    /// Standard uncertainty of the value that limits, millimetres.
    pub u: Option<f64>,
    /// The errors that make up `u`, each with the factor it enters the value with.
    pub rests: Vec<Weighed>,
    /// What each place, plane or direction gives.
    pub places: Vec<PlaceShown>,
    /// The readings used, each once and in order.
    pub readings: Vec<ReadingRef>,
    /// Marks of the gauges used.
    pub gauges: Vec<String>,
    /// Some reading used replaces another, by a named correction.
    pub corrected: bool,
    /// The rule, in words.
    pub rule: &'static str,
    /// Where rule and figures come from.
    pub source: &'static str,
    /// What the reader should know.
    pub notes: Vec<Note>,
}

impl Judged {
    /// Beyond is proven only of what noise seldom makes of a good part: with the probability `shows` that one just inside
    /// its limit shows no more than this, the worst of all its places, at least the level. What is proven beyond was not
    /// beyond the gauge.
    pub(super) fn unless_noise(mut self, level: f64, shows: impl FnOnce() -> Option<f64>) -> Self {
        if !matches!((self.band, self.proof), (Band::Beyond(_), Proof::Proven)) {
            return self;
        }
        let noise = shows().filter(|shows| decide(*shows, level) != Certainty::Inside);
        match noise {
            Some(shows) => {
                self.proof = Proof::NotProven;
                self.notes.push(Note::NoiseShows(in_hundred(1.0 - shows)));
            }
            None => self.notes.retain(|note| !matches!(note, Note::CannotJudge { .. })),
        }
        self
    }

    /// Inside is proven of no more than this probability, which takes in what the mechanism of plain values does not: that
    /// what is apart may be so either way.
    pub(super) fn no_surer(mut self, conforms: Option<f64>, level: f64) -> Self {
        if !matches!(self.band, Band::Beyond(_)) {
            self.probability = self.probability.zip(conforms).map(|(p, conforms)| p.min(conforms));
            self.proof = proof(self.band, self.probability, level);
        }
        self
    }

    /// Inside or beyond, proven or not, in words.
    #[must_use]
    pub fn state(&self) -> &'static str {
        let beyond = matches!(self.band, Band::Beyond(_));
        match (self.deciding.is_some(), beyond, self.proof) {
            (false, false, _) => "no limit on the sheet",
            (true, false, Proof::Proven) => "inside, proven",
            (true, false, Proof::NotProven) => "inside, not proven",
            (true, false, Proof::NoFigure) => "inside, not proven, no gauge",
            (true, false, Proof::InDoubt) => "inside, not proven, gauge in doubt",
            (_, true, Proof::Proven) => "beyond, proven",
            (_, true, Proof::NotProven) => "beyond, not proven",
            (_, true, Proof::NoFigure) => "beyond, not proven, no gauge",
            (_, true, Proof::InDoubt) => "beyond, not proven, gauge in doubt",
        }
    }

    /// Digest of the readings used and of what came out of them; nothing that moves with time goes in.
    #[must_use]
    pub fn evidence(&self) -> Digest {
        let mut text = format!("{}|{}|{}", self.value.canonical(), self.band.word(), self.state());
        if let Some(deciding) = &self.deciding {
            for bound in [deciding.limits.min, deciding.limits.max] {
                text.push_str(&format!("|{}", bound.map_or_else(String::new, Exact::canonical)));
            }
        }
        for reading in &self.readings {
            text.push_str(&format!("|{}:{}", reading.fact.hex(), reading.row));
        }
        Digest::of(text.as_bytes())
    }
}

/// Rounded up to whole hundredths.
fn in_hundred(p: f64) -> u8 {
    (1..100).find(|hundredths| f64::from(*hundredths) >= 100.0 * p).unwrap_or(100)
}

/// The proof that follows from a probability, a band and the shop's level. A band that the probability
/// contradicts is not proven.
pub(super) fn proof(band: Band, probability: Option<f64>, level: f64) -> Proof {
    let beyond = matches!(band, Band::Beyond(_));
    match probability.map(|p| decide(p, level)) {
        None => Proof::NoFigure,
        Some(Certainty::Inside) if !beyond => Proof::Proven,
        Some(Certainty::Beyond) if beyond => Proof::Proven,
        Some(Certainty::Inside | Certainty::Beyond | Certainty::Neither) => Proof::NotProven,
    }
}
