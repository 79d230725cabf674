//! Letters from hostile text, read back.

use super::draft;
use crate::outbox::Draft;
use crate::outbox::OutboxError;
use crate::outbox::render;

/// The header block, unfolded, one header per line.
fn headers(mail: &[u8]) -> Vec<String> {
    let text = std::str::from_utf8(mail).unwrap();
    let (head, _) = text.split_once("\r\n\r\n").unwrap();
    head.replace("\r\n ", " ").split("\r\n").map(str::to_owned).collect()
}

fn assert_well_formed(mail: &[u8]) {
    assert!(
        mail.iter().all(|b| matches!(b, b'\t' | b'\r' | b'\n' | b' '..=b'~')),
        "7-bit, no control characters: {:?}",
        String::from_utf8_lossy(mail)
    );
    let text = std::str::from_utf8(mail).unwrap();
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    assert!(text.split("\r\n").all(|line| line.len() <= 998));
    let names: Vec<String> =
        headers(mail).iter().map(|line| line.split_once(": ").expect("a header").0.to_owned()).collect();
    let expected =
        ["From", "To", "Subject", "Date", "Message-ID", "Auto-Submitted", "MIME-Version", "Content-Type"];
    assert_eq!(names, expected);
    assert_eq!(text.matches("\r\n--=_").count(), 3, "two parts and the end");
}

/// Promise 8 rests on this: the bytes are a function of the draft.
#[test]
fn the_same_draft_gives_the_same_bytes() {
    let mail = render(&draft()).unwrap();
    assert_eq!(mail, render(&draft()).unwrap());
    assert_well_formed(&mail);
    let headers = headers(&mail);
    assert!(headers.contains(&"Message-ID: <1a2b.3c4d@shop.example>".to_owned()), "{headers:?}");
    assert!(headers.contains(&"Date: Sun, 01 Mar 2026 12:00:00 +0000".to_owned()), "{headers:?}");
    assert!(headers.contains(&"To: \"The Owner\" <owner@shop.example>".to_owned()), "{headers:?}");
    assert!(headers.contains(&"Auto-Submitted: auto-generated".to_owned()), "{headers:?}");
}

#[test]
fn a_reply_names_its_thread() {
    let mail = render(&Draft { in_reply_to: Some("<first@shop.example>"), ..draft() }).unwrap();
    for header in ["In-Reply-To: <first@shop.example>", "References: <first@shop.example>"] {
        assert!(headers(&mail).contains(&header.to_owned()));
    }
}

#[test]
fn hostile_text_neither_injects_nor_panics() {
    let long = "x".repeat(5000);
    let four_bytes = "\u{1f527}".repeat(700);
    let hostile = [
        "n\r\nBcc: e@z.example",
        "\r\n\r\nbody",
        "a\0b\u{7}\u{1b}[31m\u{85}",
        "\u{202e}desrever",
        "=?utf-8?q?=0D=0ABcc:_x?=",
        "\"quoted\\\" <x@y.example>, (comment)",
        "Jörg Größe, 測定",
        " \t \n ",
        "",
        "--=_\r\n\r\n--=_x--\r\n.\r\n",
        long.as_str(),
        four_bytes.as_str(),
    ];
    for text in hostile {
        let mail = Draft { subject: text, from_name: text, to_name: text, text, html: text, ..draft() };
        let mail = render(&mail).unwrap();
        assert_well_formed(&mail);
        let heads = headers(&mail).join("\n");
        assert!(!heads.contains("=?utf-8?q?"), "{heads}");
    }
}

#[test]
fn ids_and_addresses_are_checked_not_repaired() {
    let too_long = &format!("<{}@c>", "x".repeat(250));
    for id in ["", "<>", "a@b", "<a b@c>", "<a@b>\r\nX: y", "<a@b@c>", "<é@c>", too_long] {
        let refused = render(&Draft { message_id: id, ..draft() });
        assert!(matches!(refused, Err(OutboxError::MessageId { .. })), "{id:?}");
        assert!(render(&Draft { in_reply_to: Some(id), ..draft() }).is_err(), "{id:?}");
    }
    for to in [
        "",
        "nobody",
        "a@b@c",
        "a b@c.example",
        "<a@b.example>",
        "a@b.example\r\nBcc: c@d.example",
        "é@b.example",
    ] {
        let refused = render(&Draft { to, ..draft() });
        assert!(matches!(refused, Err(OutboxError::Address { header: "To", .. })), "{to:?}");
    }
}

#[test]
fn a_date_before_1970_still_makes_a_letter() {
    let mail = render(&Draft { date: jiff::Timestamp::MIN, ..draft() }).unwrap();
    assert!(headers(&mail).contains(&"Date: Thu, 01 Jan 1970 00:00:00 +0000".to_owned()));
    assert!(render(&Draft { date: jiff::Timestamp::MAX, ..draft() }).is_ok());
}
