//! What becomes of letters at relays that misbehave.

use super::draft;
use super::scripted_relay::Script;
use super::scripted_relay::ScriptedRelay;
use crate::outbox::Outgoing;
use crate::outbox::Relay;
use crate::outbox::Route;
use crate::outbox::Secret;
use crate::outbox::Security;
use crate::outbox::Sender;
use crate::outbox::Sent;
use crate::outbox::render;
use std::collections::BTreeMap;
use std::sync::mpsc;
use std::time::Duration;

fn letter(id: i64) -> Outgoing {
    Outgoing {
        id,
        recipient: "owner@shop.example".to_owned(),
        sender: "bench@shop.example".to_owned(),
        mail: render(&draft()).unwrap(),
        message_id: format!("<{id}@shop.example>"),
        attempts: 0,
    }
}

/// Sends one letter; fails when that takes far longer than the relay's timeouts allow.
fn send(relay: Relay, letter: &Outgoing) -> Sent {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    let route = Route::Smtp(relay);
    let sending =
        async { tokio::time::timeout(Duration::from_secs(5), crate::outbox::send(&route, letter)).await };
    runtime.block_on(sending).expect("an answer within the timeouts")
}

fn outcome(script: Script) -> Sent {
    send(ScriptedRelay::start(script).relay(), &letter(1))
}

fn assert_later(sent: &Sent, says: &str, at_least: u64) {
    let Sent::Later { why, wait } = sent else { panic!("{sent:?}") };
    assert!(why.contains(says), "{why}");
    assert!(*wait >= Duration::from_secs(at_least), "{wait:?}");
}

fn assert_setup(sent: &Sent, says: &str) {
    let Sent::Setup { why, wait } = sent else { panic!("{sent:?}") };
    assert!(why.contains(says), "{why}");
    assert!((2880..=4320).contains(&wait.as_secs()), "{wait:?}");
}

fn assert_refused(sent: &Sent, says: &str) {
    assert!(matches!(sent, Sent::Refused { why } if why.contains(says)), "{sent:?}");
}

#[test]
fn an_accepted_letter_arrives_byte_for_byte() {
    let relay = ScriptedRelay::start(Script::Accepts);
    let letter = letter(1);
    assert_eq!(send(relay.relay(), &letter), Sent::Accepted);
    // The line adds the line break that ends the letter before the dot.
    assert_eq!(relay.letters(), [[&letter.mail[..], b"\r\n"].concat()]);
    assert!(relay.commands().contains(&"RCPT TO:<owner@shop.example>".to_owned()));
    assert_eq!(relay.commands().last().unwrap(), "QUIT");
}

#[test]
fn answers_about_the_recipient() {
    assert_later(&outcome(Script::Answers("RCPT", "451 4.7.1 come back")), "answer 451 4.7.1", 300);
    assert_later(&outcome(Script::Answers("RCPT", "452 busy")), "recipient", 30);
    assert_refused(&outcome(Script::Answers("RCPT", "550 5.1.1 no such user")), "no such user");
    assert_setup(&outcome(Script::Answers("RCPT", "550 5.7.1 relaying denied")), "relaying denied");
    assert_setup(&outcome(Script::Answers("RCPT", "552 quota")), "552 quota");
    assert_refused(&outcome(Script::AnswersDot("550 5.1.1 gone")), "gone");
    assert_setup(&outcome(Script::AnswersDot("554 looks like spam")), "spam");
}

#[test]
fn answers_about_us_never_give_up_a_letter() {
    assert_setup(&outcome(Script::Greets("554 go away")), "go away");
    assert_setup(&outcome(Script::Answers("MAIL", "550 unknown sender")), "unknown sender");
    assert_setup(&outcome(Script::Answers("MAIL", "530 log in first")), "log in first");
    assert_later(&outcome(Script::Greets("421 full")), "421 full", 300);

    let relay = ScriptedRelay::start(Script::AnswersLogin("535 5.7.8 wrong"));
    let login = Some(("shop".to_owned(), Secret::new("hunter2")));
    let sent = send(Relay { login: login.clone(), ..relay.relay() }, &letter(1));
    assert_setup(&sent, "logging in at the mail relay: answer 535");
    assert!(!format!("{sent:?}").contains("hunter2"));
    // A relay that says back what it was told is not quoted on it.
    for echo in ["535 no: hunter2", "535 AHNob3AAaHVudGVyMg==", "535 aHVudGVyMg=="] {
        let relay = ScriptedRelay::start(Script::AnswersLogin(echo));
        let sent = format!("{:?}", send(Relay { login: login.clone(), ..relay.relay() }, &letter(1)));
        let said = echo.rsplit(' ').next().unwrap();
        assert!(sent.contains("answer 535") && sent.contains("(hidden)") && !sent.contains(said), "{sent}");
    }
    let open_to_all = ScriptedRelay::start(Script::Accepts);
    assert_setup(&send(Relay { login, ..open_to_all.relay() }, &letter(1)), "logging in");
}

#[test]
fn silence_and_broken_lines_end_in_later() {
    assert_later(&outcome(Script::Silent), "calling the mail relay: no answer within 2 s", 30);
    assert_later(&outcome(Script::HangsUpAfterData), "handing the letter", 30);
    assert_later(&outcome(Script::HangsUpAfterDot), "handing the letter", 30);
    assert_later(&outcome(Script::Slow(Duration::from_secs(3))), "no answer within 1 s", 30);
    assert_eq!(outcome(Script::Slow(Duration::from_millis(200))), Sent::Accepted);
    let nobody = Relay::new("127.0.0.1", 1, Security::PlainLoopback);
    assert_later(&send(nobody, &letter(1)), "refused", 30);
}

/// Promise 8: what was cut after the dot is sent again, and is the same letter.
#[test]
fn a_resend_is_byte_identical() {
    let relay = ScriptedRelay::start(Script::HangsUpAfterDot);
    for attempts in 0..2 {
        assert_later(&send(relay.relay(), &Outgoing { attempts, ..letter(1) }), "", 30);
    }
    let letters = relay.letters();
    assert_eq!(letters.len(), 2);
    assert_eq!(letters[0], letters[1]);
}

#[test]
fn nothing_leaves_unprotected() {
    for host in ["mail.example.org", "192.0.2.1", "localhost.example.org", "0.0.0.0"] {
        assert_setup(&send(Relay::new(host, 25, Security::PlainLoopback), &letter(1)), "use TLS");
    }
    let relay = ScriptedRelay::start(Script::Accepts);
    let no_tls = Relay { security: Security::StartTls, ..relay.relay() };
    assert_setup(&send(no_tls.clone(), &letter(1)), "STARTTLS");
    assert!(!relay.commands().iter().any(|command| command.starts_with("MAIL")));
    let no_file = Relay { extra_root: Some("no-such.pem".into()), ..no_tls };
    assert_setup(&send(no_file, &letter(1)), "no-such.pem");
}

#[test]
fn bad_addresses_are_caught_before_the_line() {
    let relay = ScriptedRelay::start(Script::Accepts);
    let recipient = "a@b.example>\r\nRCPT TO:<c@d.example".to_owned();
    assert_refused(&send(relay.relay(), &Outgoing { recipient, ..letter(1) }), "To address");
    let sender = "not an address".to_owned();
    assert_setup(&send(relay.relay(), &Outgoing { sender, ..letter(1) }), "From address");
    assert_eq!(relay.commands(), Vec::<String>::new());
}

#[test]
fn a_folder_takes_a_letter_once_under_its_name() {
    let folder = tempfile::tempdir().unwrap();
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    let route = Route::Folder(folder.path().to_owned());
    for _ in 0..2 {
        assert_eq!(runtime.block_on(crate::outbox::send(&route, &letter(5))), Sent::Accepted);
    }
    let names: Vec<_> =
        std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert_eq!(names.len(), 1, "{names:?}");
    assert_eq!(std::fs::read(&names[0]).unwrap(), letter(5).mail);

    let missing = Route::Folder(folder.path().join("missing"));
    assert_setup(&runtime.block_on(crate::outbox::send(&missing, &letter(5))), "make the folder");
}

fn sender(route: Route) -> (Sender, mpsc::Receiver<(i64, Sent)>) {
    let (reports, reported) = mpsc::channel();
    let report = Box::new(move |id, sent| reports.send((id, sent)).expect("the test listens"));
    (Sender::start(route, report).unwrap(), reported)
}

fn wait_for(n: usize, reported: &mpsc::Receiver<(i64, Sent)>) -> BTreeMap<i64, Sent> {
    (0..n).map(|_| reported.recv_timeout(Duration::from_secs(10)).expect("a report")).collect()
}

#[test]
fn one_bad_recipient_and_one_hanging_letter_hold_up_nobody() {
    let slow = ScriptedRelay::start(Script::Slow(Duration::from_millis(400)));
    let (sender, reported) = sender(Route::Smtp(slow.relay()));
    assert!(sender.submit(Outgoing { recipient: "nobody".to_owned(), ..letter(1) }));
    for id in 2..=5 {
        assert!(sender.submit(letter(id)));
    }
    let outcomes = wait_for(5, &reported);
    assert_refused(&outcomes[&1], "nobody");
    assert!((2..=5).all(|id| outcomes[&id] == Sent::Accepted), "{outcomes:?}");
    assert_eq!(slow.most_kept_waiting(), 2, "two in flight, no more");
    assert!(sender.is_running());
    sender.stop(Duration::from_secs(1));
}

#[test]
fn a_failing_relay_is_tried_with_one_letter_at_a_time() {
    let ill = ScriptedRelay::start(Script::Greets("554 out of order"));
    let (sender, reported) = sender(Route::Smtp(ill.relay()));
    assert!(sender.submit(letter(1)));
    assert_setup(&wait_for(1, &reported)[&1], "out of order");
    for id in 2..=4 {
        assert!(sender.submit(letter(id)));
    }
    assert_setup(&wait_for(3, &reported)[&4], "out of order");
    assert_eq!(ill.most_kept_waiting(), 1);

    let well = ScriptedRelay::start(Script::Slow(Duration::from_millis(400)));
    sender.reroute(Route::Smtp(well.relay()));
    for id in 5..=8 {
        assert!(sender.submit(letter(id)));
    }
    assert!(wait_for(4, &reported).values().all(|sent| *sent == Sent::Accepted));
    assert_eq!(well.most_kept_waiting(), 2, "back to two once one got through");
    sender.stop(Duration::from_secs(1));
}

#[test]
fn it_stops_in_time_and_says_when_it_is_full() {
    let silent = ScriptedRelay::start(Script::Silent);
    let patient = Relay { connect_timeout: Duration::from_secs(60), ..silent.relay() };
    let (sender, reported) = sender(Route::Smtp(patient));
    let taken = (0..80).take_while(|id| sender.submit(letter(*id))).count();
    assert!((64..=67).contains(&taken), "64 waiting, at most 3 in hand: {taken}");
    let (stopped, has_stopped) = mpsc::channel();
    std::thread::spawn(move || {
        sender.stop(Duration::from_millis(100));
        stopped.send(()).expect("the test listens");
    });
    has_stopped.recv_timeout(Duration::from_secs(5)).expect("stops although the relay hangs");
    assert!(reported.try_recv().is_err(), "nothing is reported that did not happen");
}
