//! The heads of letters. We only write them; so here is a reader, slow and obvious, that is held against the examples of the
//! standards first and then reads what we wrote.

use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use benchdrop::outbox::{Draft, render};
use jiff::Timestamp;

/// The text of one encoded word between `=?` and `?=`; `None` for what is none. Of ISO 8859-2 only what is ASCII.
fn encoded(word: &str) -> Option<String> {
    let mut parts = word.strip_prefix("=?")?.strip_suffix("?=")?.split('?');
    let (charset, how, text) = (parts.next()?, parts.next()?, parts.next()?);
    let bytes = match how {
        "B" | "b" => BASE64_STANDARD.decode(text).ok()?,
        "Q" | "q" => {
            let mut bytes = Vec::new();
            let mut rest = text.bytes();
            while let Some(byte) = rest.next() {
                bytes.push(match byte {
                    b'_' => b' ',
                    b'=' => {
                        let digits = [rest.next()?, rest.next()?];
                        u8::from_str_radix(std::str::from_utf8(&digits).ok()?, 16).ok()?
                    }
                    other => other,
                });
            }
            bytes
        }
        _ => return None,
    };
    match charset.to_ascii_lowercase().as_str() {
        "utf-8" => String::from_utf8(bytes).ok(),
        "iso-8859-1" => Some(bytes.into_iter().map(char::from).collect()),
        "iso-8859-2" if bytes.is_ascii() => String::from_utf8(bytes).ok(),
        _ => None,
    }
}

/// A header's text as a person sees it: unfolded, encoded words read, the space between two of them gone.
fn seen(raw: &str) -> String {
    let unfolded = raw.replace("\r\n", "");
    let (mut text, mut gap, mut after_encoded) = (String::new(), "", false);
    let mut rest = unfolded.as_str();
    while !rest.is_empty() {
        let length = rest.find([' ', '\t']).unwrap_or(rest.len());
        let word = &rest[..length];
        let decoded = encoded(word);
        if !(after_encoded && decoded.is_some()) {
            text.push_str(gap);
        }
        after_encoded = decoded.is_some();
        text.push_str(decoded.as_deref().unwrap_or(word));
        let after = &rest[length..];
        let blank = after.len() - after.trim_start_matches([' ', '\t']).len();
        (gap, rest) = after.split_at(blank);
    }
    text
}

/// P11.2: RFC 2047, 8, RECALLED; agrees with Python's email package.
#[test]
fn p11_2_encoded_words() {
    for (raw, text) in [
        ("=?ISO-8859-1?Q?a?=", "a"),
        ("=?ISO-8859-1?Q?a?= b", "a b"),
        ("=?ISO-8859-1?Q?a?=  =?ISO-8859-1?Q?b?=", "ab"),
        ("=?ISO-8859-1?Q?a?=\r\n    =?ISO-8859-1?Q?b?=", "ab"),
        ("=?ISO-8859-1?Q?a_b?=", "a b"),
        (
            "=?ISO-8859-1?Q?Andr=E9?= Pirard <PIRARD@vm1.ulg.ac.be>",
            "Andr\u{e9} Pirard <PIRARD@vm1.ulg.ac.be>",
        ),
        (
            "=?ISO-8859-1?B?SWYgeW91IGNhbiByZWFkIHRoaXMgeW8=?=\r\n =?ISO-8859-2?B?dSB1bmRlcnN0YW5kIHRoZSBleGFtcGxlLg==?=",
            "If you can read this you understand the example.",
        ),
    ] {
        assert_eq!(seen(raw), text, "P11.2 {raw}");
    }
}

/// Name and address of each entry of a list; those of a group after the group's name and an empty address.
fn addresses(list: &str) -> Vec<(String, String)> {
    let (mut found, mut name, mut address) = (Vec::new(), String::new(), None);
    let (mut quoted, mut escaped) = (false, false);
    let put = |found: &mut Vec<(String, String)>, name: &mut String, address: &mut Option<String>| {
        let (said, at) = (seen(name.trim()), address.take());
        name.clear();
        match at {
            Some(at) => found.push((said, at)),
            None if !said.is_empty() => found.push((String::new(), said)),
            None => {}
        }
    };
    for c in list.chars() {
        match (c, &mut address) {
            (_, _) if escaped => (name.push(c), escaped = false).0,
            ('\\', _) if quoted => escaped = true,
            ('"', _) => quoted = !quoted,
            (_, _) if quoted => name.push(c),
            ('<', _) => address = Some(String::new()),
            ('>', _) => {}
            (':', None) => found.push((std::mem::take(&mut name), String::new())),
            (',' | ';', _) => put(&mut found, &mut name, &mut address),
            (_, Some(address)) => address.push(c),
            (_, None) => name.push(c),
        }
    }
    put(&mut found, &mut name, &mut address);
    found
}

/// P11.3: RFC 5322, A.1.2 and A.1.3, RECALLED; agrees with Python's email package.
#[test]
fn p11_3_addresses() {
    let rows: [(&str, &[(&str, &str)]); 5] = [
        ("\"Joe Q. Public\" <john.q.public@example.com>", &[("Joe Q. Public", "john.q.public@example.com")]),
        (
            "Mary Smith <mary@x.test>, jdoe@example.org, Who? <one@y.test>",
            &[("Mary Smith", "mary@x.test"), ("", "jdoe@example.org"), ("Who?", "one@y.test")],
        ),
        (
            "<boss@nil.test>, \"Giant; \\\"Big\\\" Box\" <sysservices@example.net>",
            &[("", "boss@nil.test"), ("Giant; \"Big\" Box", "sysservices@example.net")],
        ),
        (
            "A Group:Ed Jones <c@a.test>,joe@where.test,John <jdoe@one.test>;",
            &[("A Group", ""), ("Ed Jones", "c@a.test"), ("", "joe@where.test"), ("John", "jdoe@one.test")],
        ),
        ("Undisclosed recipients:;", &[("Undisclosed recipients", "")]),
    ];
    for (raw, expected) in rows {
        let found = addresses(raw);
        let found: Vec<_> = found.iter().map(|(name, at)| (name.as_str(), at.as_str())).collect();
        assert_eq!(found, expected, "P11.3 {raw}");
    }
}

/// The value of a header of a letter, folds and all.
fn header(mail: &[u8], name: &str) -> String {
    let text = std::str::from_utf8(mail).unwrap();
    let (head, _) = text.split_once("\r\n\r\n").unwrap();
    let lines = head.replace("\r\n ", "\r ").replace("\r\n\t", "\r\t");
    let line =
        lines.split("\r\n").find_map(|line| line.strip_prefix(&format!("{name}: "))).unwrap().to_owned();
    line.replace('\r', "\r\n")
}

fn letter(name: &str, subject: &str, date: Timestamp) -> Vec<u8> {
    let draft = Draft {
        from: "bench@shop.example",
        from_name: "Bench",
        to: "john.q.public@example.com",
        to_name: name,
        subject,
        text: "Journal 3 reads 1.9981.\n",
        html: "<p>Journal 3 reads 1.9981.</p>",
        message_id: "<1a2b.3c4d@shop.example>",
        date,
        in_reply_to: None,
    };
    render(&draft).unwrap()
}

/// P11.2 and P11.3 turned round: what we write is read as it was meant, however it had to be encoded, and every encoded word is
/// at most 75 characters (RFC 2047, 2).
#[test]
fn p11_names_and_subjects_are_read_as_they_were_meant() {
    let long = "Zylinder f\u{fc}nf, Ma\u{df} gr\u{f6}\u{df}er als erlaubt; ".repeat(4);
    for text in [
        "Joe Q. Public",
        "Giant; \"Big\" Box",
        "Andr\u{e9} Pirard",
        "Who?",
        "back\\slash, comma",
        "\u{6e2c}\u{5b9a}",
        "a_b =E9 of 3",
        "J\u{f6}rg \u{1f527} Wrench",
        long.trim(),
    ] {
        let mail = letter(text, text, Timestamp::UNIX_EPOCH);
        let subject = header(&mail, "Subject");
        assert_eq!(seen(&subject), text, "{subject}");
        let shown: String = if text.chars().count() <= 100 {
            text.to_owned()
        } else {
            format!("{}...", text.chars().take(97).collect::<String>().trim_end())
        };
        let to = header(&mail, "To");
        assert_eq!(addresses(&to), [(shown, "john.q.public@example.com".to_owned())], "{to}");
        for word in subject.split_whitespace().chain(to.split_whitespace()) {
            assert!(!word.starts_with("=?") || word.len() <= 75, "{word}");
        }
    }
}

/// P11.3, dates: RFC 5322, A.1, RECALLED; agrees with Python's email package. What we write of the same instants is read back
/// as these.
#[test]
fn p11_3_dates() {
    for (written, instant, ours) in [
        ("Fri, 21 Nov 1997 09:55:06 -0600", 880_127_706, "Fri, 21 Nov 1997 15:55:06 +0000"),
        ("Tue, 1 Jul 2003 10:52:37 +0200", 1_057_049_557, "Tue, 01 Jul 2003 08:52:37 +0000"),
    ] {
        let read = |text: &str| jiff::fmt::rfc2822::parse(text).unwrap().timestamp().as_second();
        assert_eq!(read(written), instant, "P11.3 {written}");
        let mail = letter("", "", Timestamp::from_second(instant).unwrap());
        assert_eq!(header(&mail, "Date"), ours, "P11.3 {written}");
        assert_eq!(read(&header(&mail, "Date")), instant, "P11.3 {written}");
    }
}
