//! Random bytes, and good drops after an accident, through the one door of decoding: never a panic, and either a
//! fact or a refusal with something in it.

use super::support::{OV24, SITE};
use benchdrop::facts::{KINDS, Refusal, decode, slip};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

/// The cases of each property; a case is some tens of microseconds where the paper is refused at once.
const CASES: u32 = 12_000;

/// Noise that is the same in every run (xorshift64*, Marsaglia 2003 and Vigna 2016, recalled).
pub(super) struct Noise(u64);

impl Noise {
    pub(super) const fn new(start: u64) -> Self {
        Self(start)
    }

    pub(super) fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    pub(super) fn bytes(&mut self, count: usize) -> Vec<u8> {
        (0..count).map(|_| self.next().to_be_bytes()[0]).collect()
    }
}

/// What may happen to a paper on its way. Places are parts of its length, so that any paper fits.
#[derive(Clone, Debug)]
enum Accident {
    Flip { at: f64, bit: u8 },
    Cut { at: f64 },
    Repeat { from: f64, to: f64 },
    Lose { from: f64, to: f64 },
    Insert { at: f64, bytes: Vec<u8> },
    Swap { one: f64, other: f64 },
    Zero { from: f64, to: f64 },
}

fn accident() -> impl Strategy<Value = Accident> {
    let part = || 0.0..1.0_f64;
    prop_oneof![
        4 => (part(), 0_u8..8).prop_map(|(at, bit)| Accident::Flip { at, bit }),
        1 => part().prop_map(|at| Accident::Cut { at }),
        1 => (part(), part()).prop_map(|(from, to)| Accident::Repeat { from, to }),
        1 => (part(), part()).prop_map(|(from, to)| Accident::Lose { from, to }),
        2 => (part(), proptest::collection::vec(any::<u8>(), 1..4)).prop_map(|(at, bytes)| Accident::Insert { at, bytes }),
        2 => (part(), part()).prop_map(|(one, other)| Accident::Swap { one, other }),
        1 => (part(), part()).prop_map(|(from, to)| Accident::Zero { from, to }),
    ]
}

fn happen(bytes: &mut Vec<u8>, accident: &Accident) {
    if bytes.is_empty() {
        return;
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a part of a length is a place in it"
    )]
    let place = |part: f64| ((bytes.len() as f64 * part) as usize).min(bytes.len() - 1);
    let range = |from: f64, to: f64| place(from.min(to))..place(from.max(to)).min(place(from.min(to)) + 200);
    match accident {
        Accident::Flip { at, bit } => {
            let at = place(*at);
            bytes[at] ^= 1 << bit;
        }
        Accident::Cut { at } => bytes.truncate(place(*at)),
        Accident::Repeat { from, to } => {
            let range = range(*from, *to);
            let chunk = bytes[range.clone()].to_vec();
            bytes.splice(range.end..range.end, chunk);
        }
        Accident::Lose { from, to } => drop(bytes.drain(range(*from, *to))),
        Accident::Insert { at, bytes: more } => {
            let at = place(*at);
            bytes.splice(at..at, more.iter().copied());
        }
        Accident::Swap { one, other } => {
            let (one, other) = (place(*one), place(*other));
            bytes.swap(one, other);
        }
        Accident::Zero { from, to } => {
            let range = range(*from, *to);
            bytes[range].fill(0);
        }
    }
}

/// A fact, or a refusal that says something and fits on a slip.
fn fact_or_reasons(bytes: &[u8]) -> Result<bool, TestCaseError> {
    let refusal = match decode(bytes, SITE) {
        Ok(fact) => {
            prop_assert!(!fact.body.kind().is_empty());
            return Ok(true);
        }
        Err(refusal) => refusal,
    };
    if let Refusal::Faults(faults) = &refusal {
        prop_assert!(!faults.is_empty(), "refused without a reason");
    }
    let slip = slip("paper.json", &refusal);
    prop_assert!(slip.contains("expected:") && slip.len() < 20_000, "{}", slip);
    Ok(false)
}

fn runner() -> TestRunner {
    // The same cases in every run; a failure found elsewhere is added as a test of its own.
    TestRunner::new_with_rng(
        Config { cases: CASES, failure_persistence: None, ..Config::default() },
        proptest::test_runner::TestRng::deterministic_rng(proptest::test_runner::RngAlgorithm::ChaCha),
    )
}

#[test]
fn random_bytes_are_refused_with_a_reason() {
    let plain = proptest::collection::vec(any::<u8>(), 0..300);
    // Noise made of what JSON is made of comes further.
    let pieces = [
        "{",
        "}",
        "[",
        "]",
        ":",
        ",",
        "\"kind\"",
        "\"gauge\"",
        "\"body\"",
        "1",
        "-0.5e3",
        "null",
        "true",
        " ",
        "\"\\u00",
        "\"",
        "\u{fe0f}",
    ];
    let json_like = proptest::collection::vec(proptest::sample::select(pieces.to_vec()), 0..40);
    let either = prop_oneof![plain, json_like.prop_map(|pieces| pieces.concat().into_bytes())];
    runner().run(&either, |bytes| fact_or_reasons(&bytes).map(|taken| assert!(!taken))).unwrap();
}

#[test]
fn good_drops_after_an_accident() {
    let mut papers: Vec<Vec<u8>> = KINDS.iter().map(|(_, _, example)| example.as_bytes().to_vec()).collect();
    // Without their spacing more of an accident hits what counts.
    let tight =
        |text: &str| serde_json::from_str::<serde_json::Value>(text).unwrap().to_string().into_bytes();
    papers.extend(KINDS.iter().map(|(_, _, example)| tight(example)));
    papers.push(OV24.as_bytes().to_vec());
    let strategy = (0..papers.len(), proptest::collection::vec(accident(), 1..4));
    let count = std::cell::Cell::new(0);
    runner()
        .run(&strategy, |(paper, accidents)| {
            let mut bytes = papers[paper].clone();
            accidents.iter().for_each(|accident| happen(&mut bytes, accident));
            count.set(count.get() + u32::from(fact_or_reasons(&bytes)?));
            Ok(())
        })
        .unwrap();
    let taken = count.get();
    // Some accidents change a letter of a remark and nothing else; if none passed, nothing was tried.
    assert!(taken > CASES / 50, "only {taken} of {CASES} were still drops");
    assert!(taken < CASES, "every one was still a drop");
}
