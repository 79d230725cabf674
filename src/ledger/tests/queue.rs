//! The letter queue: what waits, what was tried, and what is settled.

use super::super::LedgerError;
use super::super::LetterMark;
use super::super::LetterState;
use super::super::Marked;
use super::*;

const HOUR: i64 = 3_600_000;

fn mark(id: i64, marked: Marked, text: &str) -> LetterMark {
    LetterMark { id, at: HOUR, marked, text: text.into() }
}

fn due(ledger: &Ledger, now: i64) -> Vec<i64> {
    ledger.due_letters(now, 10).unwrap().iter().map(|letter| letter.id).collect()
}

/// Promise 8: until it is marked sent a letter stays due, and its bytes never change.
#[test]
fn a_letter_waits_is_tried_again_and_goes_out_or_is_given_up() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    let letters = ["a", "b", "c"].map(letter_of).to_vec();
    ledger.commit(&Batch { letters, ..Batch::default() }).unwrap();
    // A clock that was set back since they were rendered holds none of them.
    assert_eq!(due(&ledger, 0), [1, 2, 3]);
    assert_eq!(ledger.next_letter().unwrap(), Some(0));

    let again = Marked::RetryAt(2 * HOUR);
    ledger.mark_letters(&[mark(1, Marked::Sent, "250 ok"), mark(2, again, "451 later")]).unwrap();
    assert_eq!(due(&ledger, HOUR), [3]);
    assert_eq!(due(&ledger, 2 * HOUR), [3, 2], "a new letter goes before an old trouble");
    let tried = ledger.due_letters(2 * HOUR, 10).unwrap().pop().unwrap();
    assert_eq!((tried.attempts, tried.mail), (1, letter_of("b").mail));

    ledger.mark_letters(&[mark(2, Marked::Sent, "250 ok"), mark(3, Marked::Dead, "550 nobody")]).unwrap();
    // A mark that comes twice changes nothing.
    ledger.mark_letters(&[mark(2, Marked::Dead, "late"), mark(1, again, "late")]).unwrap();
    assert_eq!(due(&ledger, 9 * HOUR), [0; 0]);
    assert_eq!(ledger.next_letter().unwrap(), None);
    let counts = ledger.letter_counts().unwrap();
    assert_eq!((counts.waiting, counts.sent, counts.dead), (0, 2, 1));
    let last = ledger.letters().unwrap().pop().unwrap();
    assert_eq!((last.state, last.attempts, last.last_text.as_str()), (LetterState::Dead, 1, "550 nobody"));
    assert_eq!((last.last_try, last.message_id.as_str()), (Some(HOUR), "<c@shop.example>"));
    assert!(ledger.verify(&mut |_, _| {}).unwrap().is_sound());
}

/// The clock ran a year ahead when the letter was put off, and has been put right.
#[test]
fn a_try_set_by_a_wrong_clock_does_not_hold_a_letter() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    ledger.commit(&Batch { letters: vec![letter_of("a")], ..Batch::default() }).unwrap();
    ledger.mark_letters(&[mark(1, Marked::RetryAt(365 * 24 * HOUR), "451")]).unwrap();
    assert_eq!(due(&ledger, HOUR), [1]);
    ledger.mark_letters(&[mark(1, Marked::RetryAt(24 * HOUR), "451")]).unwrap();
    assert_eq!(due(&ledger, HOUR), [0; 0]);
}

#[test]
fn an_unknown_letter_marks_nothing() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    ledger.commit(&Batch { letters: vec![letter_of("a")], ..Batch::default() }).unwrap();
    let error = ledger.mark_letters(&[mark(1, Marked::Sent, ""), mark(7, Marked::Sent, "")]).unwrap_err();
    assert!(matches!(error, LedgerError::UnknownLetter { id: 7 }));
    assert_eq!(ledger.letter_counts().unwrap().waiting, 1);
}

#[test]
fn due_letters_are_few_if_few_are_asked_for() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    let letters = (0..9).map(|n| letter_of(&n.to_string())).collect();
    ledger.commit(&Batch { letters, ..Batch::default() }).unwrap();
    assert_eq!(ledger.due_letters(HOUR, 4).unwrap().len(), 4);
}
