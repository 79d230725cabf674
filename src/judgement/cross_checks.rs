//! What clearances say about each other: over the engine, by another stack of the sheet, by a gauging strip; and what a
//! play that was read of the parts together says of the one they come to.
//!
//! None of it decides. It is what finds a shell in the wrong place, a journal unlike its fellows, a gauge set wrong.

use crate::judgement::Verdict;
use crate::judgement::beside::Beside;
use crate::judgement::judged::Note;
use crate::metrology::Exact;
use crate::sheets::{Characteristic, Pair, Sheet};
use crate::shop::{Job, SurfaceKey};

/// The shells in and the parts alone differ by no more where all is clean and tight, and a strip and the parts by no more:
/// 0.0003 and 0.0005 in (common practice). It is said whether or not the gauges prove it.
const SHELLS_IN_WITHIN: f64 = 0.0003 * 25.4;
const STRIP_WITHIN: f64 = 0.0005 * 25.4;

/// A clearance that stands, as the others see it.
struct Told {
    surface: SurfaceKey,
    pair: String,
    name: String,
    tightest: Exact,
    loosest: Exact,
    u: Option<f64>,
}

impl Told {
    fn of(verdict: &Verdict) -> Option<Self> {
        let judged = verdict.judged.as_ref()?;
        let (value, other) = (judged.value, judged.other?);
        Some(Self {
            surface: verdict.key.surface,
            pair: verdict.feature.clone(),
            name: verdict.name.clone(),
            tightest: value.min(other),
            loosest: value.max(other),
            u: judged.u,
        })
    }
}

fn is_clearance(verdict: &Verdict) -> bool {
    verdict.stands && verdict.key.characteristic == Characteristic::Clearance
}

/// Notes on every clearance what the sheet's other stack gives, and on the loosest and the tightest of a pair how far
/// the engine's are apart.
pub(super) fn among_pairs(sheet: &Sheet, verdicts: &mut [Verdict]) {
    let told: Vec<Told> = verdicts.iter().filter(|v| is_clearance(v)).filter_map(Told::of).collect();
    for verdict in verdicts.iter_mut().filter(|v| is_clearance(v)) {
        let Some(judged) = verdict.judged.as_mut() else { continue };
        let Some(own) = told.iter().find(|told| told.name == verdict.name) else { continue };
        let same =
            |told: &&Told| told.surface == own.surface && are_one_clearance(sheet, &told.pair, &own.pair);
        for other in told.iter().filter(same) {
            // Without figures nothing is called too far apart.
            let u = own.u.zip(other.u).map(|(own, other)| 2.0 * own.hypot(other));
            let off = (own.tightest - other.tightest).abs().max((own.loosest - other.loosest).abs());
            judged.notes.push(Note::Beside(Beside::OtherStack {
                by: other.name.clone(),
                ends: (other.tightest, other.loosest),
                apart: u.is_some_and(|u| off.to_mm() > u),
                look_again: more_than(off, SHELLS_IN_WITHIN),
            }));
        }
        let pair = sheet.pairs.iter().find(|pair| pair.key == verdict.feature);
        judged.notes.extend(pair.and_then(|pair| over_the_engine(sheet, pair, own, &told)));
    }
}

/// Are these two stacks of one clearance: of a bore with its shells in, and of the bore, the shells and the same places of the
/// same shaft? A pin that turns in a rod and in a piston has two clearances and not two stacks of one.
fn are_one_clearance(sheet: &Sheet, one: &str, other: &str) -> bool {
    let of = |key: &str| sheet.pairs.iter().find(|pair| pair.key == key);
    let Some((one, other)) = of(one).zip(of(other)) else { return false };
    let Some(shaft) = sheet.features.get(one.inner.feature) else { return false };
    let places = other.inner.stations_of(shaft);
    one.walls.is_some() != other.walls.is_some()
        && one.inner.feature == other.inner.feature
        && one.inner.stations_of(shaft).iter().any(|station| places.contains(station))
}

/// What it may be by common practice, where it is more.
fn more_than(off: Exact, most: f64) -> Option<Exact> {
    Some(Exact::nearest(most)).filter(|most| off > *most)
}

/// Largest less smallest of the loosest clearances, once all positions are known; said where one of the two is.
fn over_the_engine(sheet: &Sheet, pair: &Pair, own: &Told, told: &[Told]) -> Option<Note> {
    let positions = &sheet.features.get(pair.inner.feature)?.positions;
    let named = |position: &String| {
        let name = format!("{} {position}", pair.key);
        told.iter().find(|told| told.name == name)
    };
    let all: Vec<&Told> = positions.iter().map(named).collect::<Option<_>>()?;
    let (most, least) =
        (all.iter().max_by_key(|told| told.loosest)?, all.iter().min_by_key(|told| told.loosest)?);
    let (is_loosest, is_tightest) = (own.name == most.name, own.name == least.name);
    // Of equal ones, and of one alone, nothing is apart.
    let says = most.loosest > least.loosest && (is_loosest || is_tightest);
    let other = if is_loosest { least } else { most };
    says.then(|| {
        Note::Beside(Beside::OverTheEngine {
            by: most.loosest - least.loosest,
            other: other.name.clone(),
            is_loosest,
        })
    })
}

/// Notes on what was read of parts that lie together (a strip between them, a play) what the stack of the parts comes to,
/// and on the stack what was read.
pub(super) fn against_read(job: &Job, sheet: &Sheet, verdicts: &mut [Verdict]) {
    let all: Vec<(usize, usize)> = verdicts
        .iter()
        .enumerate()
        .filter(|(_, verdict)| verdict.stands)
        .filter_map(|(at, read)| Some((at, computed_for(job, sheet, read, verdicts)?)))
        .collect();
    for (together, computed) in all {
        let Some((read, stack)) = verdicts.get(together).zip(verdicts.get(computed)) else { continue };
        let Some((Some(judged), Some(told))) = Some((read.judged.as_ref(), Told::of(stack))) else {
            continue;
        };
        let gap = |a: Exact, b: Exact| if a > b { a - b } else { Exact::ZERO };
        let values: Vec<Exact> = judged.places.iter().map(|place| place.value).collect();
        let (Some(least), Some(most)) = (values.iter().min().copied(), values.iter().max().copied()) else {
            continue;
        };
        let off = gap(least, told.loosest).max(gap(told.tightest, most));
        let u = judged.u.zip(told.u).map(|(read, stack)| 2.0 * read.hypot(stack));
        let apart = u.is_some_and(|u| off.to_mm() > u);
        let of_strip = read.key.characteristic == Characteristic::StripClearance;
        let look_again = more_than(off, STRIP_WITHIN).filter(|_| of_strip);
        let beside = |by, ends| Beside::OtherStack { by, ends, apart, look_again };
        let of_read = beside(read.name.clone(), (least, most));
        let of_stack = beside(told.name, (told.tightest, told.loosest));
        for (at, beside) in [(together, of_stack), (computed, of_read)] {
            if let Some(judged) = verdicts.get_mut(at).and_then(|verdict| verdict.judged.as_mut()) {
                judged.notes.push(Note::Beside(beside));
            }
        }
    }
}

/// What stands of the pair of parts that this was read of, at the position of the same name: the pair a strip was laid in,
/// or the one whose row is the row of the sheet this play is.
fn computed_for(job: &Job, sheet: &Sheet, read: &Verdict, verdicts: &[Verdict]) -> Option<usize> {
    let feature = job.feature(read.key.surface).filter(|feature| feature.key == read.feature)?;
    let of = read.key.characteristic;
    let by_row = |pair: &&Pair| (pair.row.number, pair.row.characteristic) == (read.key.row, of);
    let pair = if of == Characteristic::StripClearance {
        sheet.pairs.get(feature.worked.strip_of?)?
    } else {
        sheet.pairs.iter().find(by_row)?
    };
    let name = format!("{} {}", pair.key, feature.positions.get(read.key.surface.position)?);
    let is_computed =
        |verdict: &Verdict| verdict.stands && verdict.feature == pair.key && verdict.name == name;
    verdicts.iter().position(is_computed)
}
