//! Times and JSON as others write them: the cases of their standards and of public suites.

use benchdrop::facts::{Recorded, Refusal, Unreadable, decode};

/// P11.1: RFC 3339, 5.8, RECALLED, and JSON-Schema-Test-Suite, optional/format/date-time, READ. Instants in microseconds of Unix
/// time (COMPUTED; a leap second counts as the second before it, which is ours).
#[test]
fn p11_1_times_that_are_valid() {
    for (text, instant) in [
        ("1985-04-12T23:20:50.52Z", 482_196_050_520_000),
        ("1996-12-19T16:39:57-08:00", 851_042_397_000_000),
        ("1996-12-20T00:39:57Z", 851_042_397_000_000),
        ("1990-12-31T23:59:60Z", 662_687_999_000_000),
        ("1990-12-31T15:59:60-08:00", 662_687_999_000_000),
        ("1963-06-19t08:30:06.283185z", -206_292_593_716_815),
        ("1990-12-31T15:59:50.123-08:00", 662_687_990_123_000),
    ] {
        let recorded = Recorded::parse(text).unwrap_or_else(|| panic!("P11.1 {text}"));
        assert_eq!(recorded.instant().as_microsecond(), instant, "P11.1 {text}");
        assert_eq!(recorded.written(), text);
    }
    let leap = Recorded::parse("1998-12-31T15:59:60.123-08:00").unwrap().instant();
    assert_eq!(leap.as_second(), 915_148_799, "P11.1 a fraction of a leap second");
}

/// P11.1, the cases that are none: JSON-Schema-Test-Suite, READ.
#[test]
fn p11_1_times_that_are_not_valid() {
    for text in [
        "1998-12-31T23:59:61Z",
        "1998-12-31T23:58:60Z",
        "1998-12-31T22:59:60Z",
        "1990-02-31T15:59:59.123-08:00",
        "1963-06-19T08:30:06.28123+01:00Z",
        "1963-6-19T08:30:06.283185Z",
        "1963-06-1\u{9ea}T00:00:00Z",
    ] {
        assert!(Recorded::parse(text).is_none(), "P11.1 {text}");
    }
}

/// What is wrong with the bytes as JSON; `None` where they are JSON, though no drop.
fn broken(bytes: &[u8]) -> Option<Unreadable> {
    match decode(bytes, "A") {
        Ok(_) => panic!("{} is no drop", String::from_utf8_lossy(bytes)),
        Err(Refusal::Unreadable(why)) => Some(why),
        Err(Refusal::Faults(_)) => None,
    }
}

/// P11.4: RFC 8259 by JSONTestSuite, READ. A repeated key is valid JSON, and refused here because nobody can tell which of the
/// two was meant: the policy the suite asks to be stated.
#[test]
fn p11_4_json_that_is_taken_and_that_is_not() {
    for good in ["[0e+1]", "[-0]", "42", "[\"\\u0000\"]", "[\"\\uD834\\uDd1e\"]"] {
        assert_eq!(broken(good.as_bytes()), None, "P11.4 {good}");
    }
    let twice = broken(br#"{"a":"b","a":"c"}"#);
    assert!(matches!(&twice, Some(Unreadable::Broken { why, .. }) if why.contains("twice")), "{twice:?}");
    for bad in [
        "[-01]",
        "[.2e-3]",
        "[NaN]",
        "[+1]",
        "[2.e3]",
        "[\"\",]",
        "{\"id\":0,}",
        "{'a':0}",
        "[\"\t\"]",
        "{\"a\":\"b\"}#{}",
        "{a: \"b\"}",
    ] {
        let why = broken(bad.as_bytes());
        assert!(matches!(why, Some(Unreadable::Broken { .. })), "P11.4 {bad}: {why:?}");
    }
    assert!(broken("[".repeat(100_000).as_bytes()).is_some(), "P11.4 100 000 brackets");
}

/// The cases of the whole suite: name and text.
fn suite() -> Vec<(&'static str, String)> {
    let lines = include_str!("../data/json_parsing.txt").lines().filter(|line| !line.starts_with('#'));
    let read = |line: &'static str| {
        let mut cells = line.splitn(3, '\t');
        let (name, times, piece) = (cells.next().unwrap(), cells.next().unwrap(), cells.next().unwrap());
        let piece: String = serde_json::from_str(piece).unwrap();
        (name, piece.repeat(times.parse().unwrap()))
    };
    lines.map(read).collect()
}

/// P11.4, the full set of JSONTestSuite, READ: 95 texts to be taken, 188 to be refused, 35 either. Each stands inside a drop,
/// since by itself one without a bracket in front would be looked at as a table; and by itself, where it may be anything but a
/// drop.
#[test]
fn p11_4_json_the_full_set() {
    // Valid JSON, and refused here: a repeated key, because nobody can tell which of the two was meant.
    let twice = ["y_object_duplicated_key", "y_object_duplicated_key_and_value"];
    let (mut taken, mut refused, mut either) = (0, 0, 0);
    for (name, text) in suite() {
        let inside = broken(format!("{{\"kind\":\"measurements\",\"body\":{text}}}").as_bytes());
        match name.as_bytes()[0] {
            b'y' if twice.contains(&name) => {
                taken += 1;
                let why = matches!(&inside, Some(Unreadable::Broken { why, .. }) if why.contains("twice"));
                assert!(why, "P11.4 {name}: {inside:?}");
            }
            b'y' => {
                taken += 1;
                assert_eq!(inside, None, "P11.4 {name}");
            }
            b'n' => {
                refused += 1;
                assert!(inside.is_some(), "P11.4 {name} is taken: {text:.60}");
            }
            _ => either += 1,
        }
        broken(text.as_bytes());
    }
    assert_eq!((taken, refused, either), (95, 188, 35));
}

/// P11.4, left to the reader: none of them may end the program. Half of a surrogate pair is no text, and refused; how deep is
/// too deep is ours.
#[test]
fn p11_4_json_left_to_the_reader() {
    assert_eq!(broken(b"[123.456e-789]"), None, "P11.4 a number too small for a double");
    assert!(broken(br#"["\uDADA"]"#).is_some(), "P11.4 half a pair");
    let nested = format!("{}{}", "[".repeat(500), "]".repeat(500));
    assert!(broken(nested.as_bytes()).is_some(), "P11.4 500 arrays in each other");
}
