//! Bend: half of what an indicator swings over a turn of a round journal.
//!
//! Where the sheet limits the run-out of a feature and its bend, the readings are swings (TIR) and the bend is
//! half of the largest. Where it limits the bend alone (a rod in an alignment fixture) the readings are the
//! bend itself. An oval journal adds up to half of its out-of-round to the swing, so the bend of one is between
//! half the swing and half of what the swing is without that (`metrology::form::swing`). What limits is the largest it can be;
//! what is proven beyond is so at the least as well, where the oval is known.

use crate::judgement::beside::Beside;
use crate::judgement::judged::{Band, Judged, Note, Proof, proof};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::values::{PlaceValue, Values};
use crate::judgement::{Judgement, Verdict};
use crate::metrology::Exact;
use crate::metrology::form::swing::{self, bend};
use crate::metrology::normal::phi;
use crate::sheets::{Characteristic, Feature, Side};
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
/// out-of-round at the same position is known. A bend that this explains proves nothing.
pub(in crate::judgement) fn note_bends(job: &Job, judgement: &mut Judgement, level: f64) {
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
        let is_bend = verdict.key.characteristic == Characteristic::Bend;
        if let (Some(told), Some(judged)) = (told, verdict.judged.as_mut()) {
            if let Beside::Bend { least, out_of_round: Some(_), .. } = told
                && is_bend
            {
                at_least(judged, least, level);
            }
            judged.notes.push(Note::Beside(told));
        }
    }
}

/// What was proven beyond by the most that it can be has to be so by the least.
fn at_least(judged: &mut Judged, least: Exact, level: f64) {
    let limit = judged.deciding.and_then(|deciding| deciding.bound(Side::Above));
    let proven = judged.band == Band::Beyond(Side::Above) && judged.proof == Proof::Proven;
    if let Some((limit, u)) = limit.zip(judged.u).filter(|_| proven) {
        judged.probability = Some(phi((limit - least).to_mm() / u));
        judged.proof = proof(judged.band, judged.probability, level);
    }
}

fn bend_of(job: &Job, verdict: &Verdict, ovals: &[(SurfaceKey, Exact)]) -> Option<Beside> {
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
    Some(Beside::Bend { least, most, out_of_round })
}
