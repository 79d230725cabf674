//! The gauges behind every verdict, as they were when they were read with, and what their flags do to it.
//!
//! A flagged reading keeps its place: band and value stand as read. What it was read with decides how much that proves:
//! by a gauge found bad, off at zero, or never meant for such a surface it proves nothing. An overdue gauge, one whose
//! zero was not checked that day and one too coarse are said beside the verdict and change no number.

use crate::facts::Digest;
use crate::judgement::judged::{Note, Proof};
use crate::judgement::values::ReadingRef;
use crate::judgement::{Judgement, Verdict};
use crate::shop::{FlagKind, GaugeFlag, GaugeState, Job, Reading, SetKey, SurfaceKey};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A gauge that a verdict rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GaugeUsed {
    /// As it was when it was read with.
    pub state: Arc<GaugeState>,
    /// What is the matter with it in this verdict beside its own flags.
    pub here: Vec<GaugeFlag>,
}

impl GaugeUsed {
    /// Everything that is the matter.
    pub fn flags(&self) -> impl Iterator<Item = &GaugeFlag> {
        self.state.flags.iter().chain(&self.here)
    }

    /// `MIC-23, in calibration, certificate C-118, due 2027-01-10`.
    #[must_use]
    pub fn words(&self) -> String {
        let state = &self.state;
        let mut words = format!("{}, {}", state.mark, state.word());
        if !state.certificate.is_empty() {
            words.push_str(&format!(", certificate {}", state.certificate));
        }
        if let Some(due) = state.due {
            words.push_str(&format!(", due {due}"));
        }
        words
    }
}

/// Readings of one surface in one drop whose gauge puts them in doubt.
#[derive(Clone, Debug)]
pub struct Doubt {
    /// The surface.
    pub surface: SurfaceKey,
    /// The set they are in.
    pub set: SetKey,
    /// The gauge as it was.
    pub gauge: Arc<GaugeState>,
    /// Why, what weighs most first; never empty.
    pub flags: Vec<GaugeFlag>,
    /// The drop.
    pub fact: Digest,
    /// `front X 2.2481 in`, as read.
    pub readings: Vec<String>,
    /// A verdict that speaks for the engine as it is rests on them.
    pub stands: bool,
}

impl Doubt {
    /// They prove nothing.
    #[must_use]
    pub fn proves_nothing(&self) -> bool {
        self.flags.iter().any(|flag| flag.kind.proves_nothing())
    }

    /// Why, in words.
    #[must_use]
    pub fn why(&self) -> String {
        self.flags.iter().map(|flag| flag.words.as_str()).collect::<Vec<_>>().join("; ")
    }
}

impl Verdict {
    /// Flags of its gauges that put it in doubt, each with the gauge's mark.
    pub fn doubts(&self) -> impl Iterator<Item = (&str, &GaugeFlag)> {
        let marked = |used| GaugeUsed::flags(used).map(|flag| (used.state.mark.as_str(), flag));
        self.gauges.iter().flat_map(marked).filter(|(_, flag)| flag.kind.is_doubt())
    }
}

/// Gives every verdict its gauges, takes the proof of those that rest on what proves nothing, and lists the readings.
pub(super) fn weigh(job: &Job, judgement: &mut Judgement) {
    let misused = misused(job);
    for verdict in &mut judgement.verdicts {
        verdict.gauges = used(job, &misused, verdict);
        let nothing = verdict.gauges.iter().flat_map(GaugeUsed::flags).any(|f| f.kind.proves_nothing());
        if let Some(judged) = verdict.judged.as_mut().filter(|_| nothing) {
            judged.proof = Proof::InDoubt;
            judged.probability = None;
        }
    }
    judgement.doubts = doubts(job, &misused, judgement);
}

/// Readings by an instrument that is never for such a surface, or reads no such thing.
fn misused(job: &Job) -> BTreeMap<ReadingRef, GaugeFlag> {
    let flag = |(key, _, reading): (SurfaceKey, SetKey, &Reading)| {
        let flag = job.gauge_states.get(&reading.fact)?.misused(job.feature(key)?.shape, reading.unit)?;
        Some((ReadingRef { fact: reading.fact, row: reading.row }, flag))
    };
    readings(job).filter_map(flag).collect()
}

fn readings(job: &Job) -> impl Iterator<Item = (SurfaceKey, SetKey, &Reading)> {
    let sets = job.surfaces.iter().flat_map(|(key, surface)| surface.sets.iter().map(move |set| (*key, set)));
    sets.flat_map(|(key, (set_key, set))| set.readings.values().flatten().map(move |r| (key, *set_key, r)))
}

/// The gauges of a verdict, each once for each state it was in.
fn used(job: &Job, misused: &BTreeMap<ReadingRef, GaugeFlag>, verdict: &Verdict) -> Vec<GaugeUsed> {
    let mut all: Vec<GaugeUsed> = Vec::new();
    let Some(judged) = &verdict.judged else { return all };
    let mut last = None;
    for reading in &judged.readings {
        let wrong = misused.get(reading);
        // Readings are in the order of their drops, and a drop has one gauge.
        if wrong.is_none() && last == Some(reading.fact) {
            continue;
        }
        last = Some(reading.fact);
        let Some(state) = job.gauge_states.get(&reading.fact) else { continue };
        let known = all.iter_mut().find(|used| used.state == *state);
        let here = match known {
            Some(used) => &mut used.here,
            None => {
                all.push(GaugeUsed { state: Arc::clone(state), here: Vec::new() });
                let Some(new) = all.last_mut() else { continue };
                &mut new.here
            }
        };
        if let Some(wrong) = wrong.filter(|wrong| !here.contains(wrong)) {
            here.push(wrong.clone());
        }
    }
    let coarse = |note: &Note| matches!(note, Note::CannotJudge { .. } | Note::TooFineForFeeler);
    if judged.notes.iter().any(coarse) {
        let words = "too coarse: nothing could be proven with it against this limit".to_owned();
        for used in &mut all {
            used.here.push(GaugeFlag { kind: FlagKind::TooCoarse, words: words.clone() });
        }
    }
    // By name, not by digest; those of one name stay as they are.
    all.sort_by(|a, b| a.state.mark.cmp(&b.state.mark));
    all
}

fn doubts(job: &Job, misused: &BTreeMap<ReadingRef, GaugeFlag>, judgement: &Judgement) -> Vec<Doubt> {
    let is_doubtful = |state: &Arc<GaugeState>| state.flags.iter().any(|flag| flag.kind.is_doubt());
    if misused.is_empty() && !job.gauge_states.values().any(is_doubtful) {
        return Vec::new();
    }
    let counted = judgement.standing().filter_map(|verdict| verdict.judged.as_ref());
    let counted: BTreeSet<ReadingRef> = counted.flat_map(|judged| judged.readings.iter().copied()).collect();
    let mut doubts: BTreeMap<(SurfaceKey, SetKey, Digest), Doubt> = BTreeMap::new();
    for (surface, set, reading) in readings(job) {
        let Some(gauge) = job.gauge_states.get(&reading.fact) else { continue };
        let named = ReadingRef { fact: reading.fact, row: reading.row };
        let own = gauge.flags.iter().filter(|flag| flag.kind.is_doubt());
        let flags: BTreeSet<&GaugeFlag> = own.chain(misused.get(&named)).collect();
        if flags.is_empty() {
            continue;
        }
        let doubt = doubts.entry((surface, set, reading.fact)).or_insert_with(|| Doubt {
            surface,
            set,
            gauge: Arc::clone(gauge),
            flags: flags.into_iter().cloned().collect(),
            fact: reading.fact,
            readings: Vec::new(),
            stands: false,
        });
        let place = job.feature(surface).map_or_else(String::new, |feature| reading.place.name(feature));
        let read = format!("{place} {} {}", reading.digits, reading.unit.symbol());
        doubt.readings.push(read.trim_start().to_owned());
        doubt.stands |= counted.contains(&named);
    }
    doubts.into_values().collect()
}
