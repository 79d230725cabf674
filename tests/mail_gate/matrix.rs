//! Every fault at every phase, inside the test.

use super::hostile_relay::{Fault, HostileRelay, Ill, Phase};
use super::{BAD, Counts, May, drops, gate::is_long, open, settled, state::copy};
use benchdrop::clock::Clock as _;
use benchdrop::daemon::health;
use benchdrop::intake;
use benchdrop::ledger::{Ledger, LetterInfo, LetterState};
use benchdrop::outbox::{Relay, Secret, Security};
use jiff::Timestamp;
use open::{LATER, Open, config, route};
use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread::scope;
use std::time::Duration;
use tempfile::TempDir;

/// Patience with a relay that will never answer.
const SHORT: Duration = Duration::from_millis(200);
/// Patience with one that does.
const LONG: Duration = Duration::from_secs(20);

/// What must have become of the letters that the fault is about, while the relay is ill.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Becomes {
    Waits,
    GivenUp,
    Arrives,
}

#[derive(Clone, Copy, Debug)]
struct Case {
    ill: Ill,
    becomes: Becomes,
}

/// The phases in which the relay owes an answer, but the change to TLS.
const PHASES: [Phase; 8] = [
    Phase::Greeting,
    Phase::Hello,
    Phase::Login,
    Phase::Sender,
    Phase::Recipient,
    Phase::Data,
    Phase::Dot,
    Phase::Goodbye,
];

/// What is no yes and says nothing about anybody's address.
const TROUBLES: [Fault; 17] = [
    Fault::Silence,
    Fault::Cut,
    Fault::HalfAnswer,
    Fault::Says("421 4.3.2 closing"),
    Fault::Says("450 4.2.1 later"),
    Fault::Says("451 4.7.1 come back"),
    Fault::Says("452 4.3.1 full"),
    Fault::Says("530 5.7.0 log in"),
    Fault::Says("550 5.7.1 policy"),
    Fault::Says("552 5.2.2 quota"),
    Fault::Says("554 no"),
    Fault::Says("999 what a number"),
    Fault::Says("come in"),
    Fault::Bytes(b"\xff\xfe\0\r\n\x1b[31m250\r\n"),
    Fault::Endless("250-more and more, and more of the same, and then some more, and again\r\n"),
    Fault::Endless("250-more"),
    Fault::Drip(200),
];

/// The relay's word that this person is not there.
const NOBODY: [&str; 3] = ["550 5.1.1 no such person", "553 no such person", "501 no such person"];

fn cases() -> Vec<Case> {
    let mut cases = Vec::new();
    for phase in PHASES {
        // Who is written to is known from the recipient on.
        let both: &[Option<&str>] = &[None, Some(BAD)];
        let whom = if phase < Phase::Recipient { &both[..1] } else { &both[usize::from(!is_long())..] };
        for only in whom {
            let mut add =
                |fault, becomes| cases.push(Case { ill: Ill { phase, fault, only: *only }, becomes });
            let usual = if phase == Phase::Goodbye { Becomes::Arrives } else { Becomes::Waits };
            TROUBLES.into_iter().for_each(|fault| add(fault, usual));
            add(Fault::Drip(1), Becomes::Arrives);
            if phase >= Phase::Recipient && phase != Phase::Goodbye && only.is_some() {
                NOBODY.into_iter().for_each(|words| add(Fault::Says(words), Becomes::GivenUp));
            }
        }
    }
    let more = |phase, fault| Case { ill: Ill { phase, fault, only: None }, becomes: Becomes::Waits };
    cases.extend([Fault::Silence, Fault::Cut, Fault::Says("451 stop")].map(|fault| more(Phase::Text, fault)));
    cases.push(more(Phase::Data, Fault::Says("250 not what was asked")));
    let tls = [
        "220 go on\r\n250 said too early",
        "250 yes",
        "454 4.7.0 no TLS",
        "502 what?",
        "220 go on\r\n\x15\x03\x03",
    ];
    cases.extend(tls.map(|words| more(Phase::StartTls, Fault::Says(words))));
    cases.extend([Fault::Silence, Fault::Cut, Fault::HalfAnswer].map(|fault| more(Phase::StartTls, fault)));
    cases
}

/// A shop whose letters could not leave: nobody listened.
fn waiting_letters() -> (TempDir, Timestamp) {
    let dir = TempDir::new().unwrap();
    intake::lay_out(&dir.path().join("watch-folder")).unwrap();
    fs::create_dir(dir.path().join("ledger")).unwrap();
    for (n, drop) in drops().iter().enumerate() {
        fs::write(dir.path().join(format!("watch-folder/drop/{n}.json")), drop.to_string()).unwrap();
    }
    let mut open = Open::new(dir.path(), "2026-03-03T08:00:00Z".parse().unwrap(), route(1, LONG));
    open.take_in();
    open.try_letters();
    let letters = open.letters();
    assert_eq!(
        letters.iter().filter(|letter| letter.state == LetterState::Waiting).count(),
        9,
        "{letters:?}"
    );
    let now = open.close();
    (dir, now.checked_add(LATER).unwrap())
}

fn endure(from: &Path, now: Timestamp, case: &Case) -> Counts {
    let when = format!("{case:?}");
    let dir = TempDir::new().unwrap();
    copy(from, dir.path());
    let relay = HostileRelay::start(case.ill);
    let patience = match (case.becomes, case.ill.fault) {
        // A relay that is silent when everything is done is waited for, but no longer than this either.
        (Becomes::Arrives, _) | (_, Fault::Cut | Fault::Says(_) | Fault::Endless(_))
            if case.ill.phase != Phase::StartTls =>
        {
            LONG
        }
        _ => SHORT,
    };
    let security =
        if case.ill.phase == Phase::StartTls { Security::StartTls } else { Security::PlainLoopback };
    let login = (case.ill.phase == Phase::Login).then(|| ("shop".to_owned(), Secret::new("hunter2")));
    let hostile = Relay { security, login, ..route(relay.port, patience) };
    let mut open = Open::new(dir.path(), now, hostile);
    let is_touched = |letter: &LetterInfo| case.ill.only.is_none_or(|only| only == letter.recipient);
    // Nobody waits behind the one whom the relay will not have.
    open.try_letters();
    open.until(&format!("{when}: the others wait"), |letter| {
        is_touched(letter) || letter.state == LetterState::Sent
    });
    assert!(relay.faults() > 0, "{when}: the fault was never met");
    for letter in open.letters().iter().filter(|letter| is_touched(letter)) {
        let expected = match case.becomes {
            Becomes::Waits => LetterState::Waiting,
            Becomes::GivenUp => LetterState::Dead,
            Becomes::Arrives => LetterState::Sent,
        };
        assert_eq!(letter.state, expected, "{when}: {letter:?}");
        // Not heard until the time is over, for memory is what it costs.
        let is_cut_off = letter.last_text.contains("talks without end");
        let is_endless = matches!(case.ill.fault, Fault::Endless(_)) && case.becomes == Becomes::Waits;
        assert_eq!(is_cut_off, is_endless, "{when}: {letter:?}");
    }
    if case.ill.phase == Phase::StartTls {
        assert_eq!(relay.told(), 0, "{when}: something was said in the clear");
    }
    if case.becomes == Becomes::GivenUp {
        is_shown(&mut open, &when);
    }
    relay.heal();
    if case.ill.phase == Phase::StartTls {
        // The owner takes another way to the same relay.
        let now = open.close();
        open = Open::new(dir.path(), now, route(relay.port, LONG));
    }
    open.clock.advance(LATER);
    open.until(&format!("{when}: healed, and letters wait"), |letter| letter.state != LetterState::Waiting);
    open.close();
    let may = May { be_given_up: case.ill.only.filter(|_| case.becomes == Becomes::GivenUp), come_again: 0 };
    settled(&Ledger::read_only(&dir.path().join("ledger/benchdrop.db")).unwrap(), &relay, may, &when)
}

/// A letter that is given up is told of on the page and by `status`, with the relay's words.
fn is_shown(open: &mut Open, when: &str) {
    open.clock.advance(Duration::from_secs(3));
    open.house.turn().unwrap();
    let page = fs::read_to_string(open.dir.join("watch-folder/board/arrivals.html")).unwrap();
    assert!(page.contains(BAD) && page.contains("no such person"), "{when}: {page}");
    let findings = health(&config(&open.dir), open.clock.now());
    let letters = findings.iter().find(|finding| finding.about == "letters").unwrap();
    assert!(letters.is_wrong && letters.says.contains("3 given up"), "{when}: {letters:?}");
    assert!(letters.says.contains(BAD) && letters.says.contains("no such person"), "{when}: {letters:?}");
}

#[test]
fn every_fault_at_every_phase() {
    /// They mostly wait.
    const AT_ONCE: usize = 16;
    let (shop, now) = waiting_letters();
    let cases = cases();
    let next = AtomicUsize::new(0);
    let mut all = Counts::default();
    scope(|scope| {
        let workers: Vec<_> = (0..AT_ONCE)
            .map(|_| {
                scope.spawn(|| {
                    let mut counts = Counts::default();
                    while let Some(case) = cases.get(next.fetch_add(1, Ordering::AcqRel)) {
                        counts.add(&endure(shop.path(), now, case));
                    }
                    counts
                })
            })
            .collect();
        for worker in workers {
            all.add(&worker.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        }
    });
    all.report("hostile mail server, every phase", cases.len());
}
