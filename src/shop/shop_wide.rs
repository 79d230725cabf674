//! Shop-wide things: sheets, house rules, people and gauges, with their revisions.

use crate::facts::{Body, Digest, Fact, HouseRules, People, Person, PriceList, Recorded, Role};
use crate::sheets::{Sheet, fold_name};
use crate::shop::gauge_in_use::GaugeInUse;
use crate::shop::gauge_life::{Asked, Lives};
use crate::shop::gauge_state::GaugeState;
use crate::shop::gauges::GaugeNow;
use crate::shop::held::{Held, HeldWhy};
use crate::shop::set::FactSet;
use crate::shop::studies::{Studies, StudyNow};
use crate::shop::void;
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// One revision of something.
#[derive(Clone, Debug)]
struct Revision<T> {
    recorded: Timestamp,
    fact: Digest,
    content: Arc<T>,
}

/// Everything the shop has said about itself.
#[derive(Clone, Debug, Default)]
pub struct Shop {
    /// Shared, since every job keeps the shop it was folded in.
    known: Arc<Known>,
    /// Shop-wide statements that wait.
    pub held: Vec<Held>,
    /// What happened to gauges counts as it had been recorded by then; `None` counts all of it.
    heard: Option<Timestamp>,
}

#[derive(Clone, Debug, Default)]
struct Known {
    sheets: BTreeMap<String, BTreeMap<u32, Revision<Sheet>>>,
    rules: BTreeMap<u32, Revision<HouseRules>>,
    people: BTreeMap<u32, Revision<People>>,
    prices: BTreeMap<u32, Revision<PriceList>>,
    studies: Studies,
    gauges: Lives,
}

impl Known {
    /// Takes a statement in; why it waits, where it does.
    fn add(&mut self, fact: &Arc<Fact>) -> Option<HeldWhy> {
        match &fact.body {
            Body::Sheet(sheet) => {
                let revisions = self.sheets.entry(fold_name(&sheet.key)).or_default();
                let what = format!("sheet {} revision {}", sheet.key, sheet.revision);
                first_stands(revisions, sheet.revision, fact, sheet, what)
            }
            Body::HouseRules(rules) => {
                let what = format!("house rules revision {}", rules.revision);
                first_stands(&mut self.rules, rules.revision, fact, rules, what)
            }
            Body::People(people) => {
                let what = format!("people revision {}", people.revision);
                first_stands(&mut self.people, people.revision, fact, people, what)
            }
            Body::Gauge(gauge) => {
                self.gauges.add(fact, gauge);
                None
            }
            Body::PriceList(prices) => {
                let what = format!("price list revision {}", prices.revision);
                first_stands(&mut self.prices, prices.revision, fact, prices, what)
            }
            Body::Measurements(set) => {
                self.studies.add(fact, set);
                None
            }
            Body::Withdrawal(_)
            | Body::Finding(_)
            | Body::Hardware(_)
            | Body::WorkOrder(_)
            | Body::Supply(_)
            | Body::Assembly(_)
            | Body::Account(_)
            | Body::CheckIn(_)
            | Body::Part(_)
            | Body::Operation(_)
            | Body::Decision(_)
            | Body::SignOff(_) => None,
        }
    }
}

impl Shop {
    /// Folds the shop's statements.
    #[must_use]
    pub fn fold(set: &FactSet) -> Self {
        let standing = void::standing(set);
        let (mut known, mut held) = (Known::default(), standing.held);
        for fact in standing.facts {
            if let Some(why) = known.add(fact) {
                held.push(Held { fact: fact.id, kind: fact.body.kind(), part: String::new(), why });
            }
        }
        held.sort();
        Self { known: Arc::new(known), held, heard: None }
    }

    /// The sheet a job checked in at `checked_in` uses: the revision it was moved to, where there is such a one,
    /// else the highest recorded at or before the check-in, else the earliest recorded after.
    #[must_use]
    pub fn sheet(&self, key: &str, checked_in: Timestamp, moved: Option<u32>) -> Option<&Arc<Sheet>> {
        in_force(self.known.sheets.get(&fold_name(key))?, checked_in, moved).map(|revision| &revision.content)
    }

    /// The statements that hold the sheet and the house rules such a job uses.
    pub(super) fn grounds(&self, key: &str, at: Timestamp, moved: (Option<u32>, Option<u32>)) -> Vec<Digest> {
        let sheet =
            self.known.sheets.get(&fold_name(key)).and_then(|revisions| in_force(revisions, at, moved.0));
        let rules = in_force(&self.known.rules, at, moved.1);
        sheet.map(|revision| revision.fact).into_iter().chain(rules.map(|revision| revision.fact)).collect()
    }

    /// The house rules for such a job, by the same choice.
    #[must_use]
    pub fn rules(&self, checked_in: Timestamp, moved: Option<u32>) -> Option<&Arc<HouseRules>> {
        in_force(&self.known.rules, checked_in, moved).map(|revision| &revision.content)
    }

    /// The house rules by their newest revision, for who asks of no job.
    #[must_use]
    pub fn newest_rules(&self) -> Option<&Arc<HouseRules>> {
        self.known.rules.values().last().map(|revision| &revision.content)
    }

    /// Is this revision of this sheet here?
    #[must_use]
    pub fn has_sheet(&self, key: &str, revision: u32) -> bool {
        self.known.sheets.get(&fold_name(key)).is_some_and(|revisions| revisions.contains_key(&revision))
    }

    /// Is this revision of the house rules here?
    #[must_use]
    pub fn has_rules(&self, revision: u32) -> bool {
        self.known.rules.contains_key(&revision)
    }

    /// The price list, always by the newest revision.
    #[must_use]
    pub fn prices(&self) -> Option<&Arc<PriceList>> {
        self.known.prices.last_key_value().map(|(_, newest)| &newest.content)
    }

    /// The gauge of this mark as it was known for a reading recorded then, in the hands of `who`.
    #[must_use]
    pub fn gauge(
        &self,
        mark: &str,
        who: &str,
        recorded: &Recorded,
        rules: Option<&HouseRules>,
    ) -> Option<GaugeInUse> {
        let stated = rules.and_then(|rules| self.known.rules.get(&rules.revision));
        let ask = Asked::of(recorded, rules, self.heard);
        self.known.gauges.in_use((mark, who), &ask, &self.known.studies, stated.map(|revision| revision.fact))
    }

    /// Every study of the shop's gauges.
    #[must_use]
    pub fn studies(&self) -> Vec<StudyNow> {
        self.known.studies.all()
    }

    /// The state of a gauge for a reading recorded then; `None` of a gauge nobody described.
    #[must_use]
    pub fn gauge_state(
        &self,
        mark: &str,
        recorded: &Recorded,
        rules: Option<&HouseRules>,
    ) -> Option<GaugeState> {
        self.known.gauges.state(mark, &Asked::of(recorded, rules, self.heard))
    }

    /// These gauges with all that they were ever set from, folded.
    pub(super) fn with_sources(&self, marks: BTreeSet<String>) -> BTreeSet<String> {
        self.known.gauges.with_sources(marks)
    }

    /// The shop as it had heard of its gauges by then; `None` where nothing happened to these gauges since.
    pub(super) fn as_heard(&self, marks: &BTreeSet<String>, until: Timestamp) -> Option<Self> {
        let news = self.known.gauges.is_news(marks, until);
        news.then(|| Self { heard: Some(until), ..self.clone() })
    }

    /// Every gauge as it stands now.
    #[must_use]
    pub fn gauges(&self) -> Vec<GaugeNow> {
        self.known.gauges.all().filter_map(GaugeNow::of).collect()
    }

    /// The people, always by the newest revision.
    #[must_use]
    pub fn people(&self) -> &[Person] {
        self.known.people.last_key_value().map_or(&[], |(_, newest)| newest.content.people.as_slice())
    }

    /// Who gets letters that are a role's business: those with the role and an address, else the owner, else
    /// whoever has an address. Empty only when nobody can be reached at all.
    #[must_use]
    pub fn letters_to(&self, role: Role) -> Vec<&Person> {
        let reachable = |wanted: Option<Role>| {
            let fits =
                move |p: &&Person| p.mail.is_some() && wanted.is_none_or(|role| p.roles.contains(&role));
            self.people().iter().filter(fits).collect::<Vec<_>>()
        };
        let choices = [Some(role), Some(Role::Owner), None];
        choices.into_iter().map(reachable).find(|people| !people.is_empty()).unwrap_or_default()
    }

    /// The newest revision of every sheet, by key.
    pub fn newest_sheets(&self) -> impl Iterator<Item = &Arc<Sheet>> {
        let newest = self.known.sheets.values().filter_map(|revisions| revisions.last_key_value());
        newest.map(|(_, revision)| &revision.content)
    }

    /// Mark and kind of instrument of every gauge, as last described.
    pub fn gauge_marks(&self) -> impl Iterator<Item = (&str, &str)> {
        let newest = self.known.gauges.all().filter_map(|life| life.entries.last());
        newest.map(|last| (last.mark.as_str(), last.instrument.as_str()))
    }
}

fn first_stands<T>(
    revisions: &mut BTreeMap<u32, Revision<T>>,
    revision: u32,
    fact: &Fact,
    content: &Arc<T>,
    what: String,
) -> Option<HeldWhy> {
    // Facts come in recorded order, so whatever is there was recorded first.
    if let Some(first) = revisions.get(&revision) {
        return Some(HeldWhy::Conflict { what, stands: first.fact });
    }
    let recorded = fact.head.recorded.instant();
    revisions.insert(revision, Revision { recorded, fact: fact.id, content: Arc::clone(content) });
    None
}

fn in_force<T>(
    revisions: &BTreeMap<u32, Revision<T>>,
    at: Timestamp,
    moved: Option<u32>,
) -> Option<&Revision<T>> {
    if let Some(there) = moved.and_then(|revision| revisions.get(&revision)) {
        return Some(there);
    }
    let before = revisions.values().rev().find(|revision| revision.recorded <= at);
    before.or_else(|| revisions.values().min_by_key(|r| (r.recorded, r.fact)))
}
