//! A table cut anywhere looks whole, so it says how it ends.

use super::*;

/// With `last-row;end` no cut is ever taken, at whatever byte, in whatever encoding.
#[test]
fn a_closed_table_is_never_taken_in_part() {
    let closed = format!("last-row;end\n{TABLE}end\n");
    taken(closed.as_bytes());
    let utf16: Vec<u8> =
        std::iter::once(0xFEFF).chain(closed.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    let crlf = closed.replace('\n', "\r\n");
    for whole in [closed.as_bytes(), crlf.as_bytes(), &utf16] {
        let is_all = |cut: usize| whole[..cut].windows(1).count() >= last_of(whole);
        for cut in 0..whole.len() {
            match decode(&whole[..cut], "main") {
                // "end" with its line end cut off is all there.
                Ok(fact) => assert!(is_all(cut), "cut at {cut}: {:?}", fact.body),
                Err(Refusal::Unreadable(Unreadable::CutShort | Unreadable::Empty)) => {}
                // Two bytes of a mark, or one letter, could be anything; that waits as a broken paper does.
                Err(Refusal::Unreadable(_)) => assert!(cut < 4, "cut at {cut}"),
                Err(Refusal::Faults(faults)) => panic!("cut at {cut}: {faults:?}"),
            }
        }
    }
}

/// How many bytes of it are all there: its line end may be missing.
fn last_of(whole: &[u8]) -> usize {
    whole.iter().rposition(|byte| *byte == b'd').unwrap() + 1
}

/// Without it, a cut inside a row is never taken; one between rows waits unless it has readings, and then says no more
/// than its rows say.
#[test]
fn an_open_table_is_taken_by_whole_rows_only() {
    let whole = taken(TABLE.as_bytes());
    let benchdrop::facts::Body::Measurements(all) = &whole.body else { panic!("measurements") };
    for cut in 1..TABLE.len() {
        match decode(&TABLE.as_bytes()[..cut], "main") {
            Ok(fact) => {
                assert_eq!(TABLE.as_bytes()[cut - 1], b'\n', "cut at {cut}");
                let benchdrop::facts::Body::Measurements(some) = &fact.body else { panic!("measurements") };
                for (read, meant) in some.readings.iter().zip(&all.readings) {
                    assert_eq!((&read.feature, &read.value), (&meant.feature, &meant.value));
                }
            }
            Err(Refusal::Unreadable(Unreadable::CutShort | Unreadable::Empty)) => {}
            Err(refusal) => panic!("cut at {cut}: {refusal:?}"),
        }
    }
}

#[test]
fn what_is_not_written_yet_waits() {
    let mut reserved = TABLE.as_bytes()[..200].to_vec();
    reserved.resize(4096, 0);
    assert!(unfinished(&reserved));
    // A quotation mark that is still open swallows line ends.
    assert!(unfinished(TABLE.replace("wobbly", "\"wobbly").as_bytes()));
    assert!(unfinished(b"k") && unfinished(b"kind") && unfinished(b"kind;measurements"));
    assert!(unfinished(b"# a form\n") && unfinished(b"# a form"));
    assert!(unfinished(format!("last-row;end\n{TABLE}").as_bytes()));
}
