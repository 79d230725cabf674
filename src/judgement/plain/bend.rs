//! Bend: half of what an indicator swings over a turn of a round journal.
//!
//! Where the sheet limits the run-out of a feature and its bend, the readings are swings (TIR) and the bend is
//! half of the largest. Where it limits the bend alone (a rod in an alignment fixture) the readings are the
//! bend itself. An oval journal adds up to half of its out-of-round to the swing, so the bend of one is between
//! half the swing and half of what the swing is without that (`metrology::form::swing`). What limits is the largest it can be.

use crate::judgement::beside::Beside;
use crate::judgement::judged::Note;
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::values::{PlaceValue, Values};
use crate::judgement::{Judgement, Verdict};
use crate::metrology::Exact;
use crate::metrology::form::swing::{self, bend};
use crate::sheets::{Characteristic, Feature};
use crate::shop::{Job, SurfaceKey};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "bent",
    rule: "half of the largest full swing where run-out is read, else the largest bend read",
    source: "common practice: TIR is twice the bend of a round journal; JCGM 106 decision at the house level",
};

/// The bends that the readings give.
pub(in crate::judgement) fn bends(feature: &Feature, values: &Values) -> Values {
    if feature.row(Characteristic::RunOut).is_none() {
        return values.clone();
    }
    let bent = |read: &PlaceValue| PlaceValue { mean: bend(read.mean, Exact::ZERO).most, ..read.part(1, 2) };
    values.iter().map(|(place, read)| (*place, bent(read))).collect()
}

/// Says of every swing what bend it tells, where the sheet names the feature the indicator runs on and its
/// out-of-round at the same position is known.
pub(in crate::judgement) fn note_bends(job: &Job, judgement: &mut Judgement) {
    let Some(sheet) = job.sheet.as_deref() else { return };
    if sheet.features.iter().all(|feature| feature.swings_on.is_none()) {
        return;
    }
    let ovals: Vec<(SurfaceKey, Exact)> = judgement
        .standing()
        .filter(|verdict| verdict.key.characteristic == Characteristic::OutOfRound)
        .filter_map(|verdict| Some((verdict.key.surface, verdict.judged.as_ref()?.value)))
        .collect();
    for verdict in judgement.verdicts.iter_mut().filter(|verdict| verdict.stands) {
        let told = bend_of(job, verdict, &ovals);
        if let (Some(told), Some(judged)) = (told, verdict.judged.as_mut()) {
            judged.notes.push(told);
        }
    }
}

fn bend_of(job: &Job, verdict: &Verdict, ovals: &[(SurfaceKey, Exact)]) -> Option<Note> {
    let value = verdict.judged.as_ref()?.value;
    let of = verdict.key.characteristic;
    let swing = if of == Characteristic::Bend { value * 2 } else { value };
    if !matches!(of, Characteristic::Bend | Characteristic::RunOut) {
        return None;
    }
    let feature = job.feature(verdict.key.surface)?;
    let on = feature.swings_on?;
    let position = feature.positions.get(verdict.key.surface.position)?;
    let journal = job.sheet.as_deref()?.features.get(on)?.position(position)?;
    let under = SurfaceKey { feature: on, position: journal };
    let out_of_round = ovals.iter().find(|(key, _)| *key == under).map(|(_, value)| *value);
    let swing::Bend { least, most } = bend(swing, out_of_round.unwrap_or(Exact::ZERO));
    Some(Note::Beside(Beside::Bend { least, most, out_of_round }))
}
