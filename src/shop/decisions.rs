//! What people decided: agreed work, accepted values, confirmed readings, signatures.

use crate::facts::{
    Accept, AgreedWork, Apart, Authority, Body, Confirm, Day, Decision, Digest, Disposition, DispositionWord,
    Fact, HalfSteps, OldParts, SignOff, SizeWord, Step, Waiver, Work,
};
use crate::sheets::{Characteristic, Sheet, fold_name, same_name};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::history::Order;
use crate::shop::job::Job;
use crate::shop::places::{PartPlace, Spot, fits_all, places_of_part, places_words, spot_of, surfaces_of};
use crate::shop::said::Said;
use crate::shop::set::FactSet;
use crate::shop::surfaces::SurfaceKey;
use crate::shop::void;
use jiff::Timestamp;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A piece of work on one surface, as it is agreed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Piece {
    /// On which surface.
    pub surface: SurfaceKey,
    /// What is to be done.
    pub operation: String,
    /// Size class to finish to.
    pub finished: Option<SizeWord>,
}

impl Piece {
    /// One piece of work of a drop, place by place.
    fn all_of(sheet: &Sheet, work: &Work) -> Result<Vec<Self>, HeldWhy> {
        let keys = surfaces_of(sheet, &work.feature, &work.positions)?;
        fits_all(sheet, &keys, work.finished)?;
        let piece = |surface| Self { surface, operation: work.operation.clone(), finished: work.finished };
        Ok(keys.into_iter().map(piece).collect())
    }
}

impl Job {
    /// All that a drop agrees to, those surfaces too on which a later word counts; nothing of any other drop.
    #[must_use]
    pub fn pieces_agreed(&self, fact: Digest) -> Vec<Piece> {
        let dropped = self.statements().iter().find(|dropped| dropped.id == fact);
        let (Some(sheet), Some(Body::Decision(Decision::AgreedWork(agreed)))) =
            (self.sheet.as_deref(), dropped.map(|dropped| &dropped.body))
        else {
            return Vec::new();
        };
        let pieces = agreed.work.iter().filter_map(|work| Piece::all_of(sheet, work).ok()).flatten();
        pieces.collect()
    }
}

/// A piece of agreed work on one surface.
#[derive(Clone, Debug)]
pub struct Agreed {
    /// The decision.
    pub fact: Digest,
    /// What is to be done.
    pub operation: String,
    /// Size class to finish to.
    pub finished: Option<SizeWord>,
    /// Who agreed.
    pub by: String,
    /// When it was recorded, and its name.
    pub order: Order,
    /// The same time, as written.
    pub written: String,
    /// The evidence code it quotes.
    pub evidence: Option<String>,
    /// Which option of the estimate it is; may be empty.
    pub option: String,
}

/// A value that a named person accepts although it is not proven.
#[derive(Clone, Debug)]
pub struct Accepted {
    /// The decision.
    pub fact: Digest,
    /// The feature or pair, folded.
    pub name: String,
    /// Index of the position.
    pub position: usize,
    /// One characteristic, or all.
    pub characteristic: Option<Characteristic>,
    /// Who accepts.
    pub by: String,
    /// Why.
    pub why: String,
    /// When it was recorded.
    pub recorded: Timestamp,
    /// The same, as written.
    pub written: String,
    /// The evidence code it quotes.
    pub evidence: Option<String>,
}

/// A named person's word that a questioned reading is right.
#[derive(Clone, Debug)]
pub struct Confirmed {
    /// Who confirms, and when.
    pub said: Said,
    /// Why it is right.
    pub why: String,
    /// The evidence code it quotes.
    pub evidence: Option<String>,
}

/// A signature.
#[derive(Clone, Debug)]
pub struct Signed {
    /// The sign-off.
    pub fact: Digest,
    /// Who signed.
    pub name: String,
    /// When it was recorded.
    pub recorded: Timestamp,
    /// The same, as written.
    pub written: String,
    /// The evidence code it quotes.
    pub evidence: Option<String>,
    /// A remark.
    pub note: String,
    /// What became of the old parts.
    pub old_parts: Option<OldParts>,
    /// How it was preserved for storage.
    pub preserved: String,
    /// When preservation is due again.
    pub due_again: Option<Day>,
}

/// What becomes of parts with a finding.
#[derive(Clone, Debug)]
pub struct Disposed {
    /// Who recorded it.
    pub said: Said,
    /// `piston 2, 3`.
    pub about: String,
    /// The parts.
    pub places: Vec<PartPlace>,
    /// What is done with them.
    pub what: DispositionWord,
    /// Why.
    pub why: String,
    /// Who decided.
    pub by: String,
    /// The evidence code it quotes.
    pub evidence: Option<String>,
}

/// Two shells may differ by a step at one position of a pair, by a named person's word.
#[derive(Clone, Debug)]
pub struct HalfStepsNow {
    /// Who recorded it.
    pub said: Said,
    /// Who decided.
    pub by: String,
    /// Why.
    pub why: String,
}

/// A surface that a named person keeps apart from its group.
#[derive(Clone, Debug)]
pub struct ApartNow {
    /// Who recorded it.
    pub said: Said,
    /// The size class it has or comes to.
    pub size: SizeWord,
    /// Who decided.
    pub by: String,
    /// Why.
    pub why: String,
}

/// All decisions of a job.
#[derive(Default)]
pub(super) struct Decisions {
    pub(super) agreed: BTreeMap<SurfaceKey, Agreed>,
    pub(super) accepted: Vec<Accepted>,
    pub(super) signed: BTreeMap<Step, Signed>,
    pub(super) confirmed: BTreeMap<(Digest, Spot), Arc<Confirmed>>,
    pub(super) disposed: Vec<Disposed>,
    pub(super) half_steps: BTreeMap<(usize, usize), HalfStepsNow>,
    pub(super) apart: BTreeMap<SurfaceKey, ApartNow>,
    pub(super) authority: Option<(Said, Authority)>,
    pub(super) waived: Vec<(Said, Waiver)>,
    pub(super) held: Vec<Held>,
}

impl Decisions {
    /// From a job's standing facts in recorded order, so that of each kind the latest stands.
    pub(super) fn of(sheet: &Sheet, set: &FactSet, facts: &[&Arc<Fact>]) -> Self {
        let mut decisions = Self::default();
        for fact in facts {
            match &fact.body {
                Body::Decision(Decision::AgreedWork(agreed)) => decisions.agreed_work(sheet, fact, agreed),
                Body::Decision(Decision::Accept(accept)) => decisions.accept(sheet, fact, accept),
                Body::Decision(Decision::ConfirmReading(confirm)) => match confirms(sheet, set, confirm) {
                    Ok(spots) => {
                        let (why, evidence) = (confirm.why.clone(), confirm.evidence.clone());
                        let word = Arc::new(Confirmed { said: Said::by(fact), why, evidence });
                        decisions.confirmed.extend(spots.into_iter().map(|spot| (spot, Arc::clone(&word))));
                    }
                    Err(why) => decisions.hold(fact, "", why),
                },
                Body::SignOff(sign_off) => decisions.sign(fact, sign_off),
                Body::Decision(Decision::Disposition(disposition)) => {
                    decisions.dispose(sheet, fact, disposition);
                }
                Body::Decision(Decision::HalfSteps(half)) => decisions.allow_half_steps(sheet, fact, half),
                Body::Decision(Decision::Apart(apart)) => decisions.keep_apart(sheet, fact, apart),
                Body::Decision(Decision::Authority(authority)) => {
                    decisions.authority = Some((Said::by(fact), authority.clone()));
                }
                Body::Decision(Decision::Waiver(waiver)) => {
                    decisions.waived.push((Said::by(fact), waiver.clone()));
                }
                // Approvals stand in the books; a change of revision was heard before anything else.
                Body::Decision(Decision::Approval(_) | Decision::Revision(_))
                | Body::CheckIn(_)
                | Body::Finding(_)
                | Body::Hardware(_)
                | Body::WorkOrder(_)
                | Body::Supply(_)
                | Body::Assembly(_)
                | Body::Account(_)
                | Body::PriceList(_)
                | Body::Measurements(_)
                | Body::Part(_)
                | Body::Operation(_)
                | Body::Withdrawal(_)
                | Body::Gauge(_)
                | Body::Sheet(_)
                | Body::HouseRules(_)
                | Body::People(_) => {}
            }
        }
        decisions
    }

    fn hold(&mut self, fact: &Fact, part: &str, why: HeldWhy) {
        self.held.push(Held { fact: fact.id, kind: fact.body.kind(), part: part.to_owned(), why });
    }

    fn agreed_work(&mut self, sheet: &Sheet, fact: &Fact, agreed: &AgreedWork) {
        for work in &agreed.work {
            match Piece::all_of(sheet, work) {
                Ok(pieces) => self.agreed.extend(pieces.into_iter().map(|piece| {
                    let item = Agreed {
                        fact: fact.id,
                        operation: piece.operation,
                        finished: piece.finished,
                        by: agreed.agreed_by.clone(),
                        order: fact.order(),
                        written: fact.head.recorded.short(),
                        evidence: agreed.evidence.clone(),
                        option: agreed.option.clone(),
                    };
                    (piece.surface, item)
                })),
                Err(why) => self.hold(fact, &work.feature, why),
            }
        }
    }

    fn accept(&mut self, sheet: &Sheet, fact: &Fact, accept: &Accept) {
        let wanted = fold_name(&accept.feature);
        // A pair has the positions of its members.
        let pair = sheet.pair(&accept.feature);
        let feature = pair.and_then(|pair| sheet.features.get(pair.inner.feature));
        match surfaces_of(sheet, feature.map_or(&accept.feature, |f| &f.key), &accept.positions) {
            Ok(keys) => self.accepted.extend(keys.into_iter().map(|key| Accepted {
                fact: fact.id,
                name: wanted.clone(),
                position: key.position,
                characteristic: accept.characteristic.as_deref().and_then(Characteristic::from_word),
                by: accept.accepted_by.clone(),
                why: accept.why.clone(),
                recorded: fact.head.recorded.instant(),
                written: fact.head.recorded.short(),
                evidence: accept.evidence.clone(),
            })),
            Err(why) => self.hold(fact, &accept.feature, why),
        }
    }

    fn allow_half_steps(&mut self, sheet: &Sheet, fact: &Fact, half: &HalfSteps) {
        let of_pair = sheet.pairs.iter().enumerate().find(|(_, pair)| same_name(&pair.key, &half.pair));
        let known = of_pair.and_then(|(at, pair)| Some((at, sheet.features.get(pair.inner.feature)?)));
        let Some((pair, inner)) = known else {
            return self.hold(fact, &half.pair, HeldWhy::NoSuchPlace(format!("pair {}", half.pair)));
        };
        match surfaces_of(sheet, &inner.key, &half.positions) {
            Ok(keys) => self.half_steps.extend(keys.into_iter().map(|key| {
                let now = HalfStepsNow { said: Said::by(fact), by: half.by.clone(), why: half.why.clone() };
                ((pair, key.position), now)
            })),
            Err(why) => self.hold(fact, &half.pair, why),
        }
    }

    fn keep_apart(&mut self, sheet: &Sheet, fact: &Fact, apart: &Apart) {
        let Some(size) = apart.size else { return };
        let keys = surfaces_of(sheet, &apart.feature, &apart.positions)
            .and_then(|keys| fits_all(sheet, &keys, Some(size)).map(|()| keys));
        match keys {
            Ok(keys) => self.apart.extend(keys.into_iter().map(|key| {
                let (by, why) = (apart.by.clone(), apart.why.clone());
                (key, ApartNow { said: Said::by(fact), size, by, why })
            })),
            Err(why) => self.hold(fact, &apart.feature, why),
        }
    }

    fn dispose(&mut self, sheet: &Sheet, fact: &Fact, disposition: &Disposition) {
        match places_of_part(sheet, &disposition.part, &disposition.positions) {
            Ok(places) => self.disposed.push(Disposed {
                said: Said::by(fact),
                about: places_words(sheet, &places),
                places,
                what: disposition.what,
                why: disposition.why.clone(),
                by: disposition.by.clone(),
                evidence: disposition.evidence.clone(),
            }),
            Err(why) => self.hold(fact, &disposition.part, why),
        }
    }

    fn sign(&mut self, fact: &Fact, sign_off: &SignOff) {
        let signed = Signed {
            fact: fact.id,
            name: sign_off.name.clone(),
            recorded: fact.head.recorded.instant(),
            written: fact.head.recorded.short(),
            evidence: sign_off.evidence.clone(),
            note: sign_off.note.clone(),
            old_parts: sign_off.old_parts,
            preserved: sign_off.preserved.clone(),
            due_again: sign_off.due_again,
        };
        self.signed.insert(sign_off.step, signed);
    }
}

/// The readings a confirmation is about.
fn confirms(sheet: &Sheet, set: &FactSet, confirm: &Confirm) -> Result<Vec<(Digest, Spot)>, HeldWhy> {
    let target = void::resolve(set, &confirm.drop)?;
    let Body::Measurements(readings) = &target.body else {
        return Err(HeldWhy::NamesAnotherKind(target.id.short()));
    };
    let (index, feature) =
        sheet.feature(&confirm.feature).ok_or_else(|| HeldWhy::NoSuchPlace(confirm.feature.clone()))?;
    let asked = |written: Option<&str>, find: &dyn Fn(&str) -> Option<usize>| match written {
        None => Ok(None),
        Some(text) => {
            find(text).map(Some).ok_or_else(|| HeldWhy::NoSuchPlace(format!("{} {text}", feature.key)))
        }
    };
    let position = asked(confirm.position.as_ref().map(|p| p.0.as_str()), &|t| feature.position(t))?;
    let station = asked(confirm.station.as_deref(), &|t| feature.station(t))?;
    let direction = asked(confirm.direction.as_deref(), &|t| feature.direction(t))?;
    let fits = |(key, place): &Spot| {
        key.feature == index
            && position.is_none_or(|p| p == key.position)
            && station.is_none_or(|s| s == place.station)
            && direction.is_none_or(|d| d == place.direction)
    };
    let spots = readings.readings.iter().filter_map(|body| spot_of(sheet, body).ok()).filter(fits);
    Ok(spots.map(|spot| (target.id, spot)).collect())
}
