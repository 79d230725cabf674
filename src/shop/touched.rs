//! What a statement is about, and what a printed name means: so that a blocker set aside rests on the statements
//! about its own thing and on no others.

use crate::facts::{Account, Body, Decision, Digest, Digits, Fact, WorkOrder};
use crate::sheets::{Sheet, fold_name, is_joined};
use crate::shop::job::Job;
use crate::shop::places::{PartPlace, part_of, part_places, places_of_part, spot_of, surfaces_of};
use crate::shop::surfaces::SurfaceKey;
use std::collections::{BTreeMap, BTreeSet};

/// Something a statement can be about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Thing {
    /// A feature at a position.
    Surface(SurfaceKey),
    /// A part at a position.
    Part(PartPlace),
    /// A group, an order, a check, an item: its folded name.
    Named(String),
}

/// Everything a statement is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Touched {
    /// The whole engine.
    Everything,
    /// These things; possibly none.
    Things(Vec<Thing>),
}

/// The statements of a job by what they are about.
#[derive(Debug, Default)]
pub struct Touching {
    /// About the whole engine.
    whole: BTreeSet<Digest>,
    things: BTreeMap<Thing, BTreeSet<Digest>>,
    /// About a surface of the part.
    surfaces: BTreeMap<PartPlace, BTreeSet<Digest>>,
}

impl Touching {
    /// Of every statement that is not void.
    #[must_use]
    pub fn of(job: &Job) -> Self {
        let mut all = Self::default();
        for fact in job.statements() {
            let Touched::Things(things) = job.touched_by(fact) else {
                all.whole.insert(fact.id);
                continue;
            };
            for thing in things {
                if let Thing::Surface(key) = &thing {
                    all.surfaces.entry(job.part_of(*key)).or_default().insert(fact.id);
                }
                all.things.entry(thing).or_default().insert(fact.id);
            }
        }
        all
    }

    /// The statements that [meet](Job::meet) this; `None` is every one.
    #[must_use]
    pub fn about(&self, job: &Job, about: &Touched) -> Option<BTreeSet<Digest>> {
        let Touched::Things(things) = about else { return None };
        let mut met = self.whole.clone();
        for thing in things {
            let beside = match thing {
                Thing::Surface(key) => self.things.get(&Thing::Part(job.part_of(*key))),
                Thing::Part(place) => self.surfaces.get(place),
                Thing::Named(_) => None,
            };
            met.extend(self.things.get(thing).into_iter().chain(beside).flatten());
        }
        Some(met)
    }
}

impl Job {
    /// What a printed name means: `main journal 3`, `bore 1, 2`, `crankshaft`, a group, a check, an order. A name that
    /// the sheet does not know, and no name, is the whole engine.
    #[must_use]
    pub fn things_named(&self, about: &str) -> Touched {
        let Some(sheet) = self.sheet.as_deref() else { return Touched::Everything };
        let (name, positions) = Self::split_name(about);
        let things = self.known(sheet, name, &positions.collect::<Vec<_>>());
        things.or_else(|| self.known(sheet, about, &[])).map_or(Touched::Everything, Touched::Things)
    }

    /// A printed name without its positions, and these: `bore` and 1, 2 of `bore 1, 2`.
    pub fn split_name(about: &str) -> (&str, impl Iterator<Item = &str> + Clone) {
        let first = about.split(", ").next().unwrap_or(about);
        let (name, positions) = match first.rsplit_once(' ') {
            Some((name, _)) => (name, about.get(name.len() + 1..)),
            None => (about, None),
        };
        (name, positions.into_iter().flat_map(|positions| positions.split(", ")))
    }

    fn known(&self, sheet: &Sheet, name: &str, positions: &[&str]) -> Option<Vec<Thing>> {
        let wanted: Vec<Digits> = if positions.is_empty() {
            vec![Digits("all".into())]
        } else {
            positions.iter().map(|position| Digits((*position).into())).collect()
        };
        if sheet.feature(name).is_some()
            && let Ok(keys) = surfaces_of(sheet, name, &wanted)
        {
            return Some(keys.into_iter().map(Thing::Surface).collect());
        }
        if let Some(pair) = sheet.pair(name) {
            let inner = sheet.features.get(pair.inner.feature)?;
            let keys = surfaces_of(sheet, &inner.key, &wanted).ok()?;
            let member = |key: &SurfaceKey| {
                let position = key.position;
                let of = move |feature: usize| Thing::Surface(SurfaceKey { feature, position });
                pair.members().map(|member| of(member.feature)).collect::<Vec<_>>()
            };
            return Some(keys.iter().flat_map(member).collect());
        }
        if sheet.part(name).is_some()
            && let Ok(places) = places_of_part(sheet, name, &wanted)
        {
            return Some(places.into_iter().map(Thing::Part).collect());
        }
        let order = name.strip_prefix("work order ").unwrap_or(name);
        let key = if self.orders.contains_key(&fold_name(order)) {
            order
        } else if sheet.check(name).is_some() || sheet.has_group(name) {
            name
        } else {
            group_printed(sheet, name)?
        };
        positions.is_empty().then(|| vec![Thing::Named(fold_name(key))])
    }

    /// What a statement is about.
    #[must_use]
    pub fn touched_by(&self, fact: &Fact) -> Touched {
        let Some(sheet) = self.sheet.as_deref() else { return Touched::Everything };
        let things = match &fact.body {
            Body::CheckIn(_)
            | Body::Withdrawal(_)
            | Body::Gauge(_)
            | Body::Sheet(_)
            | Body::HouseRules(_)
            | Body::People(_)
            | Body::PriceList(_) => return Touched::Everything,
            Body::Decision(decision) => return self.decision_touches(sheet, decision),
            Body::Measurements(set) => {
                let spots = set.readings.iter().filter_map(|reading| spot_of(sheet, reading).ok());
                // Readings of one surface stand side by side; it is named once.
                let mut keys: Vec<SurfaceKey> = spots.map(|(key, _)| key).collect();
                keys.dedup();
                keys.into_iter().map(Thing::Surface).collect()
            }
            Body::Part(body) => parts(part_places(sheet, body).unwrap_or_default()),
            Body::Finding(finding) => {
                let seen = finding.findings.iter();
                let drops = finding.closes.iter().map(|closes| &closes.drop);
                let drops = drops.chain(finding.tries.iter().map(|tried| &tried.drop));
                let closed = drops.flat_map(|drop| self.problem_places(drop));
                let places =
                    seen.flat_map(|s| places_of_part(sheet, &s.part, &s.positions).unwrap_or_default());
                parts(places.chain(closed).collect())
            }
            Body::Hardware(hardware) => vec![Thing::Named(fold_name(&hardware.group))],
            Body::Operation(operation) => {
                let features = operation.places.iter().map(|place| (&place.feature, &place.positions));
                let kinds = operation.parts.iter().map(|part| (&part.part, &part.positions));
                worked(sheet, features, kinds)
            }
            Body::WorkOrder(order) => self.order_touches(sheet, order),
            Body::Supply(supply) => match places_of_part(sheet, &supply.item, &[]) {
                Ok(places) => parts(places),
                Err(_) => vec![Thing::Named(fold_name(&supply.item))],
            },
            Body::Assembly(assembly) => {
                let fitted = assembly.fitted.iter();
                let places =
                    fitted.flat_map(|f| places_of_part(sheet, &f.part, &f.positions).unwrap_or_default());
                let groups = assembly.torque.iter().map(|torque| fold_name(&torque.group));
                let checks = assembly.checks.iter().map(|made| fold_name(&made.check));
                let mut things = parts(places.collect());
                things.extend(groups.chain(checks).map(Thing::Named));
                things
            }
            Body::Account(Account::Estimate(_) | Account::Hours(_) | Account::Deposit(_))
            | Body::Account(Account::Price(_) | Account::Paid(_))
            | Body::SignOff(_) => Vec::new(),
        };
        Touched::Things(things)
    }

    fn decision_touches(&self, sheet: &Sheet, decision: &Decision) -> Touched {
        Touched::Things(match decision {
            Decision::Revision(_) => return Touched::Everything,
            Decision::AgreedWork(agreed) => worked(
                sheet,
                agreed.work.iter().map(|work| (&work.feature, &work.positions)),
                std::iter::empty(),
            ),
            Decision::Accept(accept) => {
                let positions: Vec<&str> = accept.positions.iter().map(|p| p.0.as_str()).collect();
                self.known(sheet, &accept.feature, &positions).unwrap_or_default()
            }
            Decision::Apart(apart) => {
                worked(sheet, std::iter::once((&apart.feature, &apart.positions)), std::iter::empty())
            }
            Decision::HalfSteps(half) => {
                let positions: Vec<&str> = half.positions.iter().map(|p| p.0.as_str()).collect();
                self.known(sheet, &half.pair, &positions).unwrap_or_default()
            }
            Decision::Disposition(d) => {
                parts(places_of_part(sheet, &d.part, &d.positions).unwrap_or_default())
            }
            Decision::ConfirmReading(confirm) => {
                let key = confirm.position.as_ref().map_or("all", |position| position.0.as_str());
                self.known(sheet, &confirm.feature, &[key]).unwrap_or_default()
            }
            Decision::Authority(_) | Decision::Approval(_) | Decision::Waiver(_) => Vec::new(),
        })
    }

    fn order_touches(&self, sheet: &Sheet, order: &WorkOrder) -> Vec<Thing> {
        let mut things = vec![Thing::Named(fold_name(&order.order))];
        if let Some(out) = &order.out {
            let kinds = out.parts.iter().map(|part| (&part.part, &part.positions));
            things.extend(worked(sheet, out.places.iter().map(|p| (&p.feature, &p.positions)), kinds));
        }
        if let Some(back) = &order.back {
            let kinds = back.parts.iter().map(|part| (&part.part, &part.positions));
            things.extend(worked(sheet, back.places.iter().map(|p| (&p.feature, &p.positions)), kinds));
            // What comes back is what went out, where it does not say more.
            if let Some(known) = self.orders.get(&fold_name(&order.order)) {
                things.extend(known.surfaces.iter().map(|key| Thing::Surface(*key)));
                things.extend(known.parts.iter().map(|place| Thing::Part(*place)));
            }
        }
        things
    }

    /// The parts of the problems that a drop, named in full or in short, opened.
    fn problem_places(&self, written: &str) -> Vec<PartPlace> {
        let named = written.to_ascii_lowercase();
        let of_drop = self.problems.iter().filter(|problem| problem.said.fact.hex().starts_with(&named));
        of_drop.flat_map(|problem| problem.places.iter().copied()).collect()
    }

    /// Do two lists have something in common? A surface and the part it belongs to have.
    #[must_use]
    pub fn meet(&self, one: &Touched, other: &Touched) -> bool {
        let (Touched::Things(one), Touched::Things(other)) = (one, other) else { return true };
        let same = |a: &Thing, b: &Thing| match (a, b) {
            (Thing::Surface(key), Thing::Part(place)) | (Thing::Part(place), Thing::Surface(key)) => {
                self.sheet.as_ref().is_some_and(|sheet| part_of(sheet, *key) == *place)
            }
            (Thing::Surface(_) | Thing::Part(_) | Thing::Named(_), _) => a == b,
        };
        one.iter().any(|a| other.iter().any(|b| same(a, b)))
    }
}

/// The group of bolts, plugs or pins that is printed with its name behind it: `G01 Main caps`.
fn group_printed<'s>(sheet: &'s Sheet, printed: &str) -> Option<&'s str> {
    let bolts = sheet.fasteners.iter().map(|group| (&group.group, &group.name));
    let others = sheet.plugs.iter().chain(&sheet.pins).map(|group| (&group.group, &group.name));
    let mut all = bolts.chain(others);
    all.find(|(group, name)| is_joined(group, name, printed)).map(|(group, _)| group.as_str())
}

fn parts(places: Vec<PartPlace>) -> Vec<Thing> {
    places.into_iter().map(Thing::Part).collect()
}

fn worked<'a>(
    sheet: &Sheet,
    features: impl Iterator<Item = (&'a String, &'a Vec<Digits>)>,
    kinds: impl Iterator<Item = (&'a String, &'a Vec<Digits>)>,
) -> Vec<Thing> {
    let surfaces =
        features.flat_map(|(name, positions)| surfaces_of(sheet, name, positions).unwrap_or_default());
    let places =
        kinds.flat_map(|(name, positions)| places_of_part(sheet, name, positions).unwrap_or_default());
    surfaces.map(Thing::Surface).chain(places.map(Thing::Part)).collect()
}
