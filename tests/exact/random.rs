//! Random engines on their limits, against the slow way: value and band are equal as fractions, in either unit.

use super::chance::Chance;
use super::plain::*;
use super::slow::{self, Limits, Q, band, cold, ends, mean, range, read as digits_of};
use super::support::*;
use benchdrop::judgement::{Band, Judged, Judgement};
use benchdrop::sheets::{Characteristic, Side};
use benchdrop::shop::Job;
use serde_json::{Value, json};
use std::collections::BTreeMap;

const CASES: u64 = 250;
const UNITS: [&str; 2] = ["in", "mm"];

/// What a sheet's row says: digits of new and reuse.
struct Column {
    new: String,
    reuse: String,
}

fn decimals(unit: &str) -> usize {
    if unit == "in" { 6 } else { 5 }
}

/// So many of the finest steps of a unit, as digits.
fn steps(count: i64, unit: &str) -> String {
    let places = decimals(unit);
    let base = 10_i64.pow(u32::try_from(places).unwrap());
    let sign = if count < 0 { "-" } else { "" };
    format!("{sign}{}.{:0places$}", count.abs() / base, count.abs() % base)
}

/// The steps of a unit nearest to a length, from below.
fn whole_steps(value: Q, unit: &str) -> i64 {
    let step = digits_of(&steps(1, unit), unit);
    i64::try_from((value / step).floor().to_integer()).unwrap()
}

/// From -`far` to `far`.
fn about(chance: &mut Chance, far: u64) -> i64 {
    i64::try_from(chance.between(0, 2 * far + 1)).unwrap() - i64::try_from(far).unwrap()
}

fn one_of<'a>(chance: &mut Chance, of: &[&'a str]) -> &'a str {
    of[usize::try_from(chance.between(0, of.len() as u64)).unwrap()]
}

fn said(judged: &Judged) -> &'static str {
    match judged.band {
        Band::New => "new",
        Band::Serviceable => "service",
        Band::Beyond(Side::Below) => "beyond below",
        Band::Beyond(Side::Above) => "beyond above",
    }
}

/// A fraction as the house writes it: of 0.1 nm, or of a ten-millionth of another unit.
fn canonical(value: Q) -> String {
    let units = value * 10_000_000;
    format!("{}/{}", units.numer(), units.denom())
}

#[track_caller]
fn judged_of<'j>((job, judgement): (&Job, &'j Judgement), name: &str, of: Characteristic) -> &'j Judged {
    assert!(job.sheet.is_some() && job.held.is_empty(), "{:?}", job.held);
    assert!(judgement.questions.is_empty(), "{:?}", judgement.questions);
    standing(judgement, name, of).judged.as_ref().unwrap()
}

/// A limit from above next to a value, one of both columns, the other well away.
fn from_above(chance: &mut Chance, value: Q, unit: &str) -> Column {
    let near = (whole_steps(value, unit) + about(chance, 1)).max(0);
    let far = i64::try_from(chance.between(5, 50)).unwrap();
    let (new, reuse) =
        if chance.between(0, 2) == 0 { (near, near + far) } else { ((near - far).max(0), near) };
    Column { new: format!("/{}", steps(new, unit)), reuse: format!("/{}", steps(reuse.max(new), unit)) }
}

fn limits(column: &str, unit: &str) -> Limits {
    let (min, max) = column.split_once('/').unwrap();
    let bound = |digits: &str| (!digits.is_empty()).then(|| digits_of(digits, unit));
    Limits::of(bound(min), bound(max))
}

/// How often each band was met, so that a test that meets only one is seen.
#[derive(Default)]
struct Met(BTreeMap<&'static str, u32>);

impl Met {
    #[track_caller]
    fn hold(&mut self, case: &str, judged: &Judged, value: Q, expected: &'static str) {
        assert_eq!(judged.value.canonical(), canonical(value), "{case}");
        assert_eq!(said(judged), expected, "{case}");
        *self.0.entry(expected).or_default() += 1;
    }

    #[track_caller]
    fn all(&self, of: &[&str]) {
        assert!(of.iter().all(|band| self.0.get(band).is_some_and(|met| *met >= 10)), "{:?}", self.0);
    }
}

/// Out-of-round by planes and taper by directions, of places that are means of up to two repeats. The limits lie on the very
/// value, a step off, or anywhere.
#[test]
fn out_of_round_and_taper() {
    let mut chance = Chance(0xf0f0);
    let mut met = Met::default();
    for case in 0..CASES {
        let (unit, by) = (one_of(&mut chance, &UNITS), one_of(&mut chance, &UNITS));
        let (stations, count) =
            if chance.between(0, 2) == 0 { ("front,rear", 2) } else { ("top,middle,bottom", 3) };
        let base = i64::try_from(chance.between(1_000_000, 3_000_000)).unwrap();
        let read: Vec<i64> = (0..2 * count).map(|_| base + about(&mut chance, 40)).collect();
        let again: Option<Vec<i64>> =
            (chance.between(0, 2) == 0).then(|| read.iter().map(|at| at + about(&mut chance, 2)).collect());
        let values: Vec<Q> = (0..read.len())
            .map(|place| {
                let sets = std::iter::once(&read).chain(&again);
                mean(&sets.map(|set| digits_of(&steps(set[place], by), by)).collect::<Vec<_>>())
            })
            .collect();
        let planes = values.chunks(2).map(range).max().unwrap();
        let along = |direction: usize| values.iter().skip(direction).step_by(2).copied().collect::<Vec<Q>>();
        let lengthwise = range(&along(0)).max(range(&along(1)));
        let (round, taper) =
            (from_above(&mut chance, planes, unit), from_above(&mut chance, lengthwise, unit));
        let rows = vec![
            row(1, "out-of-round", &round.new, &round.reuse, "/"),
            row(2, "taper", &taper.new, &taper.reuse, "/"),
        ];
        let drops =
            engine(unit, vec![feature("journal", "shaft", &format!("1; {stations}; X,Y"), rows)], vec![]);
        let sheet = the_sheet(&drops);
        let set = |minute: u32, set: &[i64]| {
            let line = set.iter().map(|at| steps(*at, by)).collect::<Vec<_>>().join(" ");
            read_set(&sheet, minute, by, &[&format!("journal 1: {line}")])
        };
        let sets = std::iter::once(set(20, &read)).chain(again.iter().map(|again| set(21, again)));
        let (_, job, judgement) = folded(&drops.iter().cloned().chain(sets).collect::<Vec<_>>());
        for (of, value, column) in
            [(Characteristic::OutOfRound, planes, &round), (Characteristic::Taper, lengthwise, &taper)]
        {
            let expected = band(value, Some(limits(&column.new, unit)), limits(&column.reuse, unit));
            let what = format!(
                "case {case}, {of:?}, {by} on a sheet in {unit}: new {} reuse {}",
                column.new, column.reuse
            );
            met.hold(&what, judged_of((&job, &judgement), "journal", of), value, expected);
        }
    }
    met.all(&["new", "service", "beyond above"]);
}

fn read_set(sheet: &Value, minute: u32, unit: &str, lines: &[&str]) -> Value {
    read(sheet, minute, "as received", unit, "", lines)
}

/// Loosest against the most, tightest against the least, over every pair of places; the outer, each shell and the journal in a
/// unit of their own.
#[test]
fn clearance_over_all_pairs_of_places() {
    let mut chance = Chance(0xc1ea);
    let mut met = Met::default();
    for case in 0..CASES {
        let unit = one_of(&mut chance, &UNITS);
        let mut member = |name: &str, size: i64, count: usize| {
            let by = one_of(&mut chance, &UNITS);
            let middle = whole_steps(Q::from_integer(i128::from(size)) / 1_000, by);
            let read: Vec<String> = (0..count).map(|_| steps(middle + about(&mut chance, 30), by)).collect();
            let values: Vec<Q> = read.iter().map(|digits| digits_of(digits, by)).collect();
            (by, format!("{name} 1: {}", read.join(" ")), values)
        };
        // 61.000, 1.900 twice and 57.150 mm: about 0.05 mm is left.
        let (housing, shell, journal) =
            (member("housing", 61_000, 4), member("shell", 1_900, 2), member("journal", 57_150, 4));
        let walls: Vec<Vec<Q>> = shell.2.iter().map(|wall| vec![*wall]).collect();
        let (loosest, tightest) = ends(&housing.2, &walls, &journal.2);
        let (high, low) = (whole_steps(loosest, unit), whole_steps(tightest, unit));
        // Of three ends one is met closely: new's least or most, or the reuse limit.
        let close = about(&mut chance, 1);
        let (least, most, reuse) = match chance.between(0, 4) {
            0 => (low + close, high + 5, high + 9),
            1 => (low - 5, high + close, high + 9),
            2 => (low - 5, high - 3, high + close),
            _ => (low + 3, high - 3, high + close),
        };
        let column = Column {
            new: format!("{}/{}", steps(least, unit), steps(most, unit)),
            reuse: format!("/{}", steps(reuse.max(most), unit)),
        };
        let bare = |key: &str, shape: &str, places: &str| feature(key, shape, places, vec![]);
        let features = vec![
            bare("housing", "bore", "1; front,rear; vertical,level"),
            bare("shell", "wall", "1; upper,lower; crown"),
            bare("journal", "shaft", "1; front,rear; X,Y"),
        ];
        let stack =
            pair("play", "clearance", ["housing", "shell", "journal"], [&column.new, &column.reuse], false);
        let mut drops = engine(unit, features, vec![stack]);
        let sheet = the_sheet(&drops);
        for (minute, (by, line, _)) in (20..).zip([&housing, &shell, &journal]) {
            drops.push(read_set(&sheet, minute, by, &[line]));
        }
        let (_, job, judgement) = folded(&drops);
        let judged = judged_of((&job, &judgement), "play 1", Characteristic::Clearance);
        let (new, reuse) =
            (limits(&column.new, unit), limits(&column.reuse, unit).or(limits(&column.new, unit)));
        let (of_loose, of_tight) = (band(loosest, Some(new), reuse), band(tightest, Some(new), reuse));
        let (value, other, expected) = match (of_loose, of_tight) {
            ("beyond above", _) => (loosest, tightest, of_loose),
            (_, "beyond below") => (tightest, loosest, of_tight),
            ("new", "new") => (loosest, tightest, "new"),
            _ => (loosest, tightest, "service"),
        };
        let what = format!("case {case}, in {unit}: new {} reuse {}", column.new, column.reuse);
        met.hold(&what, judged, value, expected);
        assert_eq!(judged.other.unwrap().canonical(), canonical(other), "{what}");
    }
    met.all(&["new", "service", "beyond above", "beyond below"]);
}

/// A length read warm by a gauge at another temperature is brought to 20 degrees exactly, rounded once, and then compared.
#[test]
fn lengths_read_warm() {
    let mut chance = Chance(0x20de);
    let mut met = Met::default();
    for case in 0..CASES {
        let (unit, by) = (one_of(&mut chance, &UNITS), one_of(&mut chance, &UNITS));
        let [part, gauge] = [0; 2].map(|_| i128::from(chance.between(5_000, 45_000)));
        let written = steps(i64::try_from(chance.between(100_000, 9_000_000)).unwrap(), by);
        // Grey iron of the sheet 10.8, gauges of steel 11.5 ppm per degree.
        let value = cold(digits_of(&written, by), by, (10_800, part), (11_500, gauge));
        let least = whole_steps(value, unit) + about(&mut chance, 1);
        let rows = vec![row(1, "length", "/", &format!("{}/", steps(least, unit)), "/")];
        let mut drops = engine(unit, vec![feature("rod", "shrinks", "1; read; read", rows)], vec![]);
        let mut set = read_set(&the_sheet(&drops), 20, by, &[&format!("rod 1: {written}")]);
        let degrees = |at: i128| format!("{}.{:03}", at / 1_000, at % 1_000);
        set["body"]["temperatures"] = json!({"part": degrees(part), "gauge": degrees(gauge)});
        drops.push(set);
        let (_, job, judgement) = folded(&drops);
        let reuse = Limits::of(Some(digits_of(&steps(least, unit), unit)), None);
        let what = format!(
            "case {case}: {written} {by}, part {part}, gauge {gauge}, least {} {unit}",
            steps(least, unit)
        );
        met.hold(
            &what,
            judged_of((&job, &judgement), "rod", Characteristic::Length),
            value,
            band(value, None, reuse),
        );
    }
    met.all(&["service", "beyond below"]);
}

/// Of six pressures the spread as a share of the highest, and the lowest as one: limits with up to four decimals of a percent,
/// often met exactly.
#[test]
fn shares_in_percent() {
    let mut chance = Chance(0x9e7c);
    let mut met = Met::default();
    let mut exactly = 0;
    for case in 0..CASES {
        // Of 125, 150, 160 and 200 many shares have an end.
        let highest = [125, 150, 160, 200][usize::try_from(chance.between(0, 4)).unwrap()];
        let mut read: Vec<i128> =
            (0..5).map(|_| i128::from(chance.between(highest * 2 / 3, highest))).collect();
        read.push(i128::from(highest));
        chance.shuffle(&mut read);
        let (most, least) = (*read.iter().max().unwrap(), *read.iter().min().unwrap());
        let (share, rest) = (Q::new(100 * least, most), Q::new(100 * (most - least), most));
        // The nearest ten-thousandth below, on it where there is one, or one off.
        let mut near = |value: Q| {
            let at = i64::try_from((value * 10_000).floor().to_integer()).unwrap() + about(&mut chance, 1);
            exactly += u32::from(Q::new(i128::from(at), 10_000) == value);
            (format!("{}.{:04}", at / 10_000, at % 10_000), Q::new(i128::from(at), 10_000))
        };
        let (lowest, spread) = (near(share), near(rest));
        let rows = vec![
            row(1, "lowest of highest", "/", &format!("{}/", lowest.0), "/"),
            row(2, "spread percent", "/", &format!("/{}", spread.0), "/"),
        ];
        let mut cylinder = feature("compression", "shrinks", "1,2,3,4,5,6; plug; gauge", rows);
        cylinder["unit"] = "psi".into();
        let lines: Vec<String> =
            (1..).zip(&read).map(|(number, psi)| format!("compression {number}: {psi}")).collect();
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        let (job, judgement) = as_received(engine("in", vec![cylinder], vec![]), "psi", "", &lines);
        for (of, value, reuse) in [
            (Characteristic::LowestOfHighest, share, Limits::of(Some(lowest.1), None)),
            (Characteristic::SpreadPercent, rest, Limits::of(None, Some(spread.1))),
        ] {
            let judged = judged_of((&job, &judgement), "compression", of);
            let what = format!("case {case}, {of:?} of {read:?}: {reuse:?}");
            assert_eq!(judged.value.canonical(), canonical(value), "{what}");
            let expected = band(value, None, reuse);
            assert_eq!(said(judged), expected, "{what}");
            *met.0.entry(expected).or_default() += 1;
        }
    }
    assert!(exactly >= 10, "{exactly}");
    met.all(&["service", "beyond below", "beyond above"]);
}

/// The slow way itself, by hand: 2.250 in of iron at 30 degrees by a gauge at 20 is 2.250/1.000108 = 2.249757 in.
#[test]
fn the_slow_way_by_hand() {
    let value = cold(digits_of("2.250", "in"), "in", (10_800, 30_000), (11_500, 20_000));
    assert_eq!(value, digits_of("2.249757", "in"));
    assert_eq!(slow::range(&[Q::new(1, 2), Q::new(-1, 3), Q::from_integer(0)]), Q::new(5, 6));
}
