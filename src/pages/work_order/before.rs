//! What was measured on an order's surfaces as they went, and how much metal is left to take off.

use crate::judgement::words::limits;
use crate::judgement::{Judged, Verdict};
use crate::metrology::{Exact, Unit};
use crate::pages::JobView;
use crate::pages::section::{Block, Section, Table};
use crate::pages::sections::unit_of;
use crate::sheets::{Characteristic, Limits, Shape};
use crate::shop::{Done, Job, Order, SetKey, Surface, SurfaceKey};

/// A surface as it was when its order went out.
struct Went<'a> {
    /// What had been done to that piece by then.
    done: Vec<&'a Done>,
    /// The last set of readings it had by then.
    set: Option<SetKey>,
}

impl<'a> Went<'a> {
    fn of(job: &'a Job, order: &Order, key: SurfaceKey) -> Self {
        let Some(surface) = job.surfaces.get(&key) else { return Self { done: Vec::new(), set: None } };
        let instance = instance(surface, order);
        let facts = job.statements();
        // By recorded time; what came back of the order itself came after it, whatever the clocks said.
        let before = |done: &&Done| {
            done.instance == instance
                && order.backs.iter().all(|back| back.said.fact != done.fact)
                && facts.iter().any(|fact| fact.id == done.fact && fact.order() < order.said.order())
        };
        let done: Vec<&Done> = surface.done.iter().filter(before).collect();
        let of_then = |set: &&SetKey| {
            let condition = set.condition;
            set.instance == instance && condition.operations() <= done.len() && !condition.is_at_assembly()
        };
        let set = surface.sets.keys().rfind(of_then).copied();
        Self { done, set }
    }

    /// The readings are of before its last work: nobody has measured it since.
    fn is_of_before(&self) -> bool {
        self.set.is_some_and(|set| set.condition.operations() < self.done.len())
    }
}

/// The piece that went: the last one of which something was read by then. A correction is recorded later than what it
/// corrects: the piece is then the first that was read.
fn instance(surface: &Surface, order: &Order) -> usize {
    let read_by_then = |set: &&SetKey| {
        let readings = surface.sets.get(*set).into_iter().flat_map(|set| set.readings.values().flatten());
        readings.into_iter().any(|reading| reading.recorded <= order.said.at)
    };
    let read = surface.sets.keys().filter(read_by_then).map(|set| set.instance).max();
    read.or_else(|| surface.sets.keys().map(|set| set.instance).min()).unwrap_or(surface.instance)
}

/// What was measured on its surfaces, what is left to take off, and what was done to them before.
pub(super) fn before(view: &JobView, order: &Order) -> Section {
    let job = &view.job;
    let mut section = Section::new("before", "Measured before");
    let head = ["Surface", "Size as it went", "Read", "Left to take off", "Worked on before"];
    let mut table = Table::of("", &head);
    let mut warnings = Vec::new();
    for key in &order.surfaces {
        let went = Went::of(job, order, *key);
        let left = Left::of(view, order, *key, &went);
        warnings.extend(left.as_ref().and_then(Left::warning));
        table.row(vec![
            job.surface_name(*key).into(),
            size_before(job, order, *key, &went).into(),
            read(view, *key, &went).into(),
            left.map_or_else(String::new, |left| left.words()).into(),
            worked(job, *key, &went).into(),
        ]);
    }
    if order.out.finished.is_some() {
        let said = "Left to take off: on the diameter, the least and the most, in the unit it was read in.";
        section.blocks.push(Block::Quiet(said.to_owned()));
    }
    for warning in warnings {
        section.blocks.push(Block::Strong(warning));
    }
    section.table(table);
    section
}

fn size_before(job: &Job, order: &Order, key: SurfaceKey, went: &Went<'_>) -> String {
    let last = went.done.iter().filter_map(|done| done.finished).next_back();
    let still = job.surfaces.get(&key).and_then(|surface| surface.basis).filter(|_| order.is_out());
    let read = || job.surfaces.get(&key)?.sets.get(&went.set?)?.basis;
    last.or_else(read).or(still).map_or_else(|| "standard".to_owned(), |size| size.show(unit_of(job)))
}

/// The verdicts on the set that it went with.
fn verdicts<'v>(
    view: &'v JobView,
    key: SurfaceKey,
    went: &Went<'_>,
) -> impl Iterator<Item = (&'v Verdict, &'v Judged)> {
    let set = went.set;
    let own = view.judgement.verdicts.iter().filter(move |verdict| {
        verdict.key.surface == key
            && !verdict.key.characteristic.is_of_pairs()
            && set == Some(SetKey { instance: verdict.key.instance, condition: verdict.key.condition })
    });
    own.filter_map(|verdict| Some((verdict, verdict.judged.as_ref()?)))
}

/// Size and form as it went, under the condition it was measured in.
fn read(view: &JobView, key: SurfaceKey, went: &Went<'_>) -> String {
    let line = |(verdict, judged): (&Verdict, &Judged)| {
        let places: Vec<String> = judged
            .places
            .iter()
            .map(|place| format!("{} {}", place.name, place.value.show(verdict.unit)))
            .collect();
        let places = if verdict.key.characteristic == Characteristic::Size && !places.is_empty() {
            format!(" ({})", places.join(", "))
        } else {
            String::new()
        };
        let beyond = if verdict.is_beyond() { ", beyond its limit" } else { "" };
        format!("{}: {}{places}{beyond}", verdict.key.characteristic.word(), judged.value_words(verdict.unit))
    };
    let lines: Vec<String> = verdicts(view, key, went).map(line).collect();
    let Some(set) = went.set.filter(|_| !lines.is_empty()) else { return String::new() };
    let since = if went.is_of_before() { ", not measured since its last work" } else { "" };
    format!("{}{since}\n{}", set.condition.word(), lines.join("\n"))
}

fn worked(job: &Job, key: SurfaceKey, went: &Went<'_>) -> String {
    let unit = job.feature(key).map_or_else(|| unit_of(job), |feature| feature.unit);
    let lines = went.done.iter().map(|done| {
        let removed = done.removed.map_or_else(String::new, |removed| {
            format!(", {} {} taken off", removed.show(unit), unit.symbol())
        });
        format!("{}{removed} ({}, {})", done.operation, done.who, done.recorded)
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// The metal between what was measured at each place and the finished limits, on the diameter.
struct Left {
    name: String,
    unit: Unit,
    limits: Limits,
    /// What the shop counts on to clean a surface up.
    stock: Exact,
    /// Place, least and most that comes off there.
    places: Vec<(String, Exact, Exact)>,
}

impl Left {
    /// `None` of what is not finished to a size, or was not measured as it went.
    fn of(view: &JobView, order: &Order, key: SurfaceKey, went: &Went<'_>) -> Option<Self> {
        let job = &view.job;
        let feature = job.feature(key)?;
        let limits = feature.sizes.as_ref()?.finished(order.out.finished?.step().unwrap_or(Exact::ZERO));
        let (smallest, largest) = (limits.min?, limits.max?);
        let mut sizes = verdicts(view, key, went).filter(|_| !went.is_of_before());
        let (_, size) = sizes.find(|(verdict, _)| verdict.key.characteristic == Characteristic::Size)?;
        let left = |value: Exact| match feature.shape {
            Shape::Shaft => Some((value - largest, value - smallest)),
            Shape::Bore => Some((smallest - value, largest - value)),
            Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => None,
        };
        let places = size.places.iter().filter_map(|place| {
            let (least, most) = left(place.value)?;
            Some((place.name.clone(), least, most))
        });
        let places: Vec<_> = places.collect();
        let stock = job.rules.as_deref().and_then(|rules| rules.stock_for(feature.shape));
        let stock = stock.map_or(Exact::ZERO, |stock| stock.exact());
        let name = job.surface_name(key);
        (!places.is_empty()).then_some(Self { name, unit: feature.unit, limits, stock, places })
    }

    fn words(&self) -> String {
        let lines = self.places.iter().map(|(place, least, most)| {
            let range = format!("{} to {}", least.show(self.unit), most.show(self.unit));
            match (most.is_negative(), least.is_negative()) {
                (true, _) => format!("{place} none: {} past the size", most.abs().show(self.unit)),
                (false, true) => {
                    format!("{place} inside already, {} at most", most.show(self.unit))
                }
                (false, false) => format!("{place} {range}"),
            }
        });
        lines.collect::<Vec<_>>().join("\n")
    }

    /// Places with no metal to finish to, and those with less than the shop counts on for a clean-up.
    fn warning(&self) -> Option<String> {
        let named = |which: &dyn Fn(Exact, Exact) -> bool| {
            let own = self.places.iter().filter(|(_, least, most)| which(*least, *most));
            own.map(|(place, _, _)| place.as_str()).collect::<Vec<_>>().join(", ")
        };
        let none = named(&|_, most| most.is_negative());
        let little = named(&|least, most| !most.is_negative() && least < self.stock);
        let finished = format!("{} {}", limits(&self.limits, self.unit), self.unit.symbol());
        let mut said = Vec::new();
        if !none.is_empty() {
            said.push(format!("no metal is left at {none} for {finished}"));
        }
        if !little.is_empty() {
            let stock = format!("{} {}", self.stock.show(self.unit), self.unit.symbol());
            said.push(format!("next to none is left at {little} (less than {stock} to {finished})"));
        }
        (!said.is_empty()).then(|| format!("{}: {}: ask before you cut", self.name, said.join("; ")))
    }
}
