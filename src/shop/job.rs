//! One job as it was folded: what is known of it, and small questions about that.

use crate::facts::{Authority, CheckIn, Digest, HouseRules, JobKey, Step, Waiver};
use crate::sheets::{Feature, Sheet, same_name};
use crate::shop::places::{part_of, places_words};
use crate::shop::sources::Sources;
use crate::shop::{
    Accepted, Agreed, ApartNow, Bag, Books, CheckNow, Disposed, Done, FindingNow, GaugeState, HalfStepsNow,
    Held, Joint, Order, PartLife, PartPlace, PictureNow, Problem, Said, Signed, Surface, SurfaceKey,
};
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A job, folded.
#[derive(Clone, Debug)]
pub struct Job {
    /// Its key.
    pub key: JobKey,
    /// Its number as the check-in writes it, else as first written.
    pub written: String,
    /// Its check-in, when one stands.
    pub check_in: Option<CheckIn>,
    /// When it was checked in, as written.
    pub checked_in: Option<String>,
    /// The sheet it uses.
    pub sheet: Option<Arc<Sheet>>,
    /// The house rules it uses.
    pub rules: Option<Arc<HouseRules>>,
    /// Scopes of the sheet that came, folded.
    pub scopes: BTreeSet<String>,
    /// Every surface of the sheet.
    pub surfaces: BTreeMap<SurfaceKey, Surface>,
    /// Agreed work by surface, the latest recorded of each.
    pub agreed: BTreeMap<SurfaceKey, Agreed>,
    /// Accepted values.
    pub accepted: Vec<Accepted>,
    /// Signatures by step, the latest recorded of each.
    pub signed: BTreeMap<Step, Signed>,
    /// Every part of the sheet.
    pub parts: BTreeMap<PartPlace, PartLife>,
    /// Findings in recorded order.
    pub findings: Vec<FindingNow>,
    /// Problems, open and closed, in recorded order.
    pub problems: Vec<Problem>,
    /// Pictures in recorded order.
    pub pictures: Vec<PictureNow>,
    /// Bags by folded group.
    pub bags: BTreeMap<String, Bag>,
    /// Work orders by folded number.
    pub orders: BTreeMap<String, Order>,
    /// Tightened joints by folded group.
    pub joints: BTreeMap<String, Joint>,
    /// Answers by folded check, in recorded order.
    pub checks: BTreeMap<String, Vec<CheckNow>>,
    /// Money, hours and supplies.
    pub books: Books,
    /// What becomes of parts with findings, in recorded order.
    pub disposed: Vec<Disposed>,
    /// Half steps that a named person allows, by pair of the sheet and position.
    pub half_steps: BTreeMap<(usize, usize), HalfStepsNow>,
    /// Surfaces that a named person keeps apart from their group.
    pub apart: BTreeMap<SurfaceKey, ApartNow>,
    /// Leave to take the engine apart, the latest word.
    pub authority: Option<(Said, Authority)>,
    /// Blockers set aside, in recorded order; which of them holds is asked where blockers are.
    pub waived: Vec<(Said, Waiver)>,
    /// What waits for history.
    pub held: Vec<Held>,
    /// Statements that were withdrawn.
    pub withdrawn: BTreeSet<Digest>,
    /// How many statements the job has, void and held ones too.
    pub facts: usize,
    /// Recorded time of the last statement that stands.
    pub last_recorded: Option<Timestamp>,
    /// Marks of the gauges its readings name, with all that those were ever set from, folded.
    pub gauges: BTreeSet<String>,
    /// The gauge of each drop of readings, as it was then.
    pub gauge_states: BTreeMap<Digest, Arc<GaugeState>>,
    /// The shop's statements that hold its sheet and its house rules.
    pub grounds: Vec<Digest>,
    /// What it was folded from.
    pub(super) sources: Arc<Sources>,
}

impl Job {
    /// The feature of a surface.
    #[must_use]
    pub fn feature(&self, key: SurfaceKey) -> Option<&Feature> {
        self.sheet.as_ref()?.features.get(key.feature)
    }

    /// `main journal 3`.
    #[must_use]
    pub fn surface_name(&self, key: SurfaceKey) -> String {
        self.feature(key).map_or_else(String::new, |feature| {
            let position = feature.positions.get(key.position).map_or("", String::as_str);
            if feature.positions.len() == 1 {
                feature.key.clone()
            } else {
                format!("{} {position}", feature.key)
            }
        })
    }

    /// Does something that is for these scopes of the sheet concern this engine? No scope means every scope.
    #[must_use]
    pub fn concerns(&self, scopes: &[String]) -> bool {
        let came = |scope: &String| self.scopes.iter().any(|known| same_name(known, scope));
        scopes.is_empty() || scopes.iter().any(came)
    }

    /// `piston 2, 3`.
    #[must_use]
    pub fn parts_name(&self, places: &[PartPlace]) -> String {
        self.sheet.as_ref().map_or_else(String::new, |sheet| places_words(sheet, places))
    }

    /// Agreed work on a surface that is not done: no operation on the part that is there now finished it to a size, or,
    /// for work without one, was the same operation. Whether the size is the agreed one is another question.
    #[must_use]
    pub fn awaited_work(&self, key: SurfaceKey) -> Option<&Agreed> {
        let (agreed, surface) = (self.agreed.get(&key)?, self.surfaces.get(&key));
        let matches = |done: &Done| match agreed.finished {
            Some(_) => done.finished.is_some(),
            None => done.operation == agreed.operation,
        };
        (!surface.is_some_and(|surface| surface.done_now().any(matches))).then_some(agreed)
    }

    /// Some surface was worked on.
    #[must_use]
    pub fn is_begun(&self) -> bool {
        self.surfaces.values().any(|surface| surface.done_now().next().is_some())
    }

    /// The part a surface belongs to.
    #[must_use]
    pub fn part_of(&self, key: SurfaceKey) -> PartPlace {
        self.sheet.as_ref().map_or((0, 0), |sheet| part_of(sheet, key))
    }

    /// What was found on the piece that lies at a place now, in recorded order; of a finding on several parts, what was
    /// replaced since is none of its.
    pub fn found_on(&self, place: PartPlace) -> impl Iterator<Item = &FindingNow> {
        let renewed = self.parts.get(&place).and_then(|life| life.renewed.as_ref());
        let here = move |finding: &&FindingNow| {
            finding.places.contains(&place) && renewed.is_none_or(|new| new.order() <= finding.said.order())
        };
        self.findings.iter().filter(here)
    }

    /// What was last said about what becomes of a part.
    #[must_use]
    pub fn last_word_on(&self, place: PartPlace) -> Option<&Disposed> {
        self.disposed.iter().rfind(|disposed| disposed.places.contains(&place))
    }

    /// What was last decided about a part: nothing, where something was found on it since that asks for another piece, but
    /// for one that is given up anyway.
    #[must_use]
    pub fn decided_on(&self, place: PartPlace) -> Option<&Disposed> {
        const ASKS_FOR_ANOTHER: u8 = 4;
        let found_since = |word: &Disposed| {
            let mut found = self.found_on(place).filter(|f| f.severity >= ASKS_FOR_ANOTHER);
            found.any(|f| f.said.at > word.said.at)
        };
        self.last_word_on(place).filter(|word| word.what.gives_up() || !found_since(word))
    }

    /// The piece that lies at a place is to be thrown away or replaced, and no other has come for it.
    #[must_use]
    pub fn is_given_up(&self, place: PartPlace) -> bool {
        let life = self.parts.get(&place);
        let new = life.and_then(|life| life.renewed.as_ref());
        let word = self.decided_on(place).filter(|word| word.what.gives_up());
        word.is_some_and(|word| new.is_none_or(|new| new.order() < word.said.order()))
    }

    /// The picture of this name: the one in the same drop, else the latest recorded.
    #[must_use]
    pub fn picture(&self, name: &str, drop: Digest) -> Option<&PictureNow> {
        let mut named = self.pictures.iter().filter(|now| now.picture.name.eq_ignore_ascii_case(name));
        let own = named.clone().find(|now| now.said.fact == drop);
        own.or_else(|| named.next_back())
    }

    /// Problems that nobody has closed.
    pub fn open_problems(&self) -> impl Iterator<Item = &Problem> {
        self.problems.iter().filter(|problem| problem.closed.is_none())
    }

    /// It is together or set aside: nothing is planned, ordered or chosen for it any more.
    #[must_use]
    pub fn is_together_or_aside(&self) -> bool {
        self.signed.contains_key(&Step::Reassembly) || self.stored().is_some()
    }

    /// The engine is set aside, not authorised: it was stored, and neither leave nor money was given since.
    #[must_use]
    pub fn stored(&self) -> Option<&Signed> {
        let stored = self.signed.get(&Step::Stored)?;
        let since = |said: &Said| said.at > stored.recorded;
        let leave = self.authority.as_ref().is_some_and(|(said, authority)| authority.granted && since(said));
        let money = self.books.approvals.iter().any(|now| now.approval.granted && since(&now.said));
        (!leave && !money).then_some(stored)
    }
}
