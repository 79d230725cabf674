//! A mail relay that goes wrong at every point of the conversation, in every way, towards everybody or towards one of
//! three people; then it is healed. Every letter arrives, once where the relay's word was heard, byte for byte the same
//! where it came again; nobody waits behind another. The whole matrix stands inside the test, on a clock that is turned
//! by hand; the program itself is killed while it waits for each answer. Guards promise 8.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/gate.rs"]
mod gate;
#[path = "support/hostile_relay.rs"]
mod hostile_relay;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

#[path = "mail_gate/killed.rs"]
mod killed;
#[path = "mail_gate/matrix.rs"]
mod matrix;
#[path = "mail_gate/open.rs"]
mod open;

use benchdrop::ledger::{Ledger, LetterState};
use hostile_relay::HostileRelay;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use support::{drop_at, gauges, house_rules, journal, measured, shop_drop};

/// The one whom the relay will not have.
const BAD: &str = "tam@shop.example";

/// The shop, three people, and two engines with a journal beyond its limits: to each a letter about each, and the day's summary.
fn drops() -> Vec<Value> {
    let person = |name: &str| json!({"name": name, "initials": &name[..2], "roles": ["owner"], "mail": format!("{name}@shop.example")});
    let people: Vec<Value> = ["rowan", "tam", "lin"].map(person).to_vec();
    let mut drops = gauges();
    drops.push(serde_json::from_str(support::OV24).unwrap());
    drops.push(house_rules(0));
    drops.push(shop_drop("people", 5, json!({"revision": 1, "people": people})));
    for job in ["24-017", "24-018"] {
        let check_in = json!({"sheet": "OV-24", "customer": {"name": "Ferrowmere Mill"},
            "engine": {"serial": format!("OV24-{job}")}, "scope": ["block and crankshaft"]});
        let worn = journal("main journal", "3", ["2.2479", "2.2471", "2.2480", "2.2472"]);
        for mut drop in [drop_at("check-in", 10, check_in), measured(20, "as received", "MIC", worn)] {
            drop["job"] = job.into();
            drops.push(drop);
        }
    }
    drops
}

/// What came of the letters of one shop.
#[derive(Default)]
struct Counts {
    letters: u64,
    calls: u64,
    resent: u64,
    given_up: u64,
    lost: u64,
    doubled: u64,
}

impl Counts {
    fn add(&mut self, other: &Self) {
        self.letters += other.letters;
        self.calls += other.calls;
        self.resent += other.resent;
        self.given_up += other.given_up;
        self.lost += other.lost;
        self.doubled += other.doubled;
    }

    fn report(&self, gate: &str, cases: usize) {
        let counts = [
            ("cases", cases as u64),
            ("letters", self.letters),
            ("calls", self.calls),
            ("sent again", self.resent),
            ("refused for good", self.given_up),
        ];
        gate::report(gate, &counts, self.lost, self.doubled, 0);
    }
}

/// What may have become of letters beside that they arrived once.
#[derive(Clone, Copy, Default)]
struct May {
    /// The relay refused those to this person for good.
    be_given_up: Option<&'static str>,
    /// So many were in the hands of a service that was killed between the relay's word and its note of it.
    come_again: u64,
}

/// Holds the ledger against what the relay has.
fn settled(ledger: &Ledger, relay: &HostileRelay, may: May, when: &str) -> Counts {
    let mut received: BTreeMap<String, Vec<hostile_relay::Receipt>> = BTreeMap::new();
    for receipt in relay.receipts() {
        let text = String::from_utf8_lossy(&receipt.text).into_owned();
        let id = text.lines().find_map(|line| line.strip_prefix("Message-ID: ")).unwrap().to_owned();
        received.entry(id).or_default().push(receipt);
    }
    let letters = ledger.letters().unwrap();
    let mut counts =
        Counts { letters: letters.len() as u64, calls: relay.calls() as u64, ..Counts::default() };
    for letter in &letters {
        let came = received.remove(&letter.message_id).unwrap_or_default();
        let texts: BTreeSet<&[u8]> = came.iter().map(|receipt| receipt.text.as_slice()).collect();
        assert!(texts.len() < 2, "{when}: two texts of one Message-ID: {letter:?}");
        assert!(came.iter().all(|receipt| receipt.recipient == letter.recipient), "{when}: {letter:?}");
        counts.resent += came.len().saturating_sub(1) as u64;
        counts.doubled += came.iter().skip_while(|receipt| !receipt.was_heard).skip(1).count() as u64;
        let taken = came.iter().any(|receipt| receipt.said_taken);
        match letter.state {
            LetterState::Sent => counts.lost += u64::from(!taken),
            LetterState::Dead => {
                assert!(!taken && Some(letter.recipient.as_str()) == may.be_given_up, "{when}: {letter:?}");
                counts.given_up += 1;
            }
            LetterState::Waiting => panic!("{when}: waits for ever: {letter:?}"),
        }
    }
    assert_eq!(received.len(), 0, "{when}: letters that the ledger does not know");
    counts.doubled = counts.doubled.saturating_sub(may.come_again);
    assert_eq!((counts.lost, counts.doubled), (0, 0), "{when}");
    counts
}
