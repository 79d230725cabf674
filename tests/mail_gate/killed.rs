//! The program itself, killed while it waits for each answer of the relay.

use super::hostile_relay::{Fault, HostileRelay, Ill, Phase};
use super::process::Shop;
use super::script::Paper;
use super::{BAD, Counts, May, drops, settled};
use rusqlite::Connection;
use std::fs;

const PHASES: [Phase; 8] = [
    Phase::Greeting,
    Phase::Hello,
    Phase::Sender,
    Phase::Recipient,
    Phase::Data,
    Phase::Text,
    Phase::Dot,
    Phase::Goodbye,
];

/// As if the hours had passed that a letter waits after a failed try.
fn hours_pass(shop: &Shop) {
    let ledger = Connection::open(shop.dir().join("ledger/benchdrop.db")).unwrap();
    ledger.execute("UPDATE deliveries SET next_try = 0 WHERE state = 'waiting'", []).unwrap();
}

/// Lets the service go on with the relay as it is, until no letter waits.
fn delivers(shop: &Shop) {
    hours_pass(shop);
    let service = shop.run();
    shop.wait_until("every letter", || shop.ledger().letter_counts().unwrap().waiting == 0);
    shop.wait_for_rest();
    shop.ends_cleanly(service);
}

#[test]
fn killed_while_it_waits_for_each_answer() {
    let shop = Shop::empty();
    let papers: Vec<Paper> = drops()
        .iter()
        .enumerate()
        .map(|(n, drop)| Paper { name: format!("{n}.json"), bytes: drop.to_string().into_bytes() })
        .collect();
    // Nobody listens there.
    shop.send_to(1);
    shop.drop_in(&papers);
    let service = shop.run();
    shop.wait_until("letters", || shop.says("a letter was not delivered") == 9);
    shop.ends_cleanly(service);

    let mut all = Counts::default();
    for phase in PHASES {
        let relay = HostileRelay::start(Ill { phase, fault: Fault::Silence, only: None });
        let shop = shop.copied();
        shop.set("port = 1\n", &format!("port = {}\n", relay.port));
        hours_pass(&shop);
        let service = shop.run();
        shop.wait_until("a silence", || relay.faults() > 0);
        service.kill();
        relay.heal();
        delivers(&shop);
        // Two are on their way at once.
        let may = May { come_again: if phase == Phase::Goodbye { 2 } else { 0 }, be_given_up: None };
        all.add(&settled(&shop.ledger(), &relay, may, &format!("killed at {phase:?}")));
    }
    let nobody = Fault::Says("550 5.1.1 no such person");
    let relay = HostileRelay::start(Ill { phase: Phase::Recipient, fault: nobody, only: Some(BAD) });
    shop.set("port = 1\n", &format!("port = {}\n", relay.port));
    delivers(&shop);
    all.add(&settled(
        &shop.ledger(),
        &relay,
        May { be_given_up: Some(BAD), come_again: 0 },
        "one bad address",
    ));
    let page = fs::read_to_string(shop.watch_folder().join("board/arrivals.html")).unwrap();
    assert!(page.contains(BAD) && page.contains("no such person"), "{page}");
    let status = shop.command(&["status"]).output().unwrap();
    let says = String::from_utf8_lossy(&status.stdout);
    assert!(says.contains("3 given up; last word on the one to tam@shop.example"), "{says}");
    assert_eq!(status.status.code(), Some(20), "{says}");
    all.report("hostile mail server, killed at each phase", PHASES.len() + 1);
}
