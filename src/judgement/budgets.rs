//! The budget of a verdict: every cause of its uncertainty on a line of its own, with what says so.
//!
//! Made when somebody asks to see it, from the errors the verdict rests on, so that judging many readings writes no
//! words. The sum is that of [`crate::metrology::budget`], and comes to the `u` of the verdict.

use crate::facts::Digest;
use crate::judgement::errors::PlaceError;
use crate::judgement::judged::Judged;
use crate::judgement::values::ReadingRef;
use crate::metrology::Interval;
use crate::metrology::budget::{Budget, Component};
use crate::shop::{GaugeInUse, Job, Origin};

/// What says so.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// In words.
    pub words: String,
    /// The statement it stands in, where it is one.
    pub drop: Option<Digest>,
}

/// One cause.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What is uncertain, in words.
    pub what: String,
    /// Its standard uncertainty, millimetres (or the unit of the grid): the largest, where it is met several times.
    pub u: f64,
    /// One error met in all that carry it, or each reading's own.
    pub shared: bool,
    /// How it enters the value, in words.
    pub enters: String,
    /// What it puts into the value, with its sign.
    pub effect: f64,
    /// Where it comes from.
    pub from: Vec<Source>,
    /// Degrees of freedom; infinite where it is taken as known.
    pub freedom: f64,
}

/// The lines of a verdict and what they come to.
#[derive(Clone, Debug, PartialEq)]
pub struct Lines {
    /// In the order of the readings; what is shared stands where it is first met.
    pub lines: Vec<Line>,
    /// Combined standard uncertainty, millimetres (or the unit of the grid).
    pub u: f64,
    /// Effective degrees of freedom (Welch and Satterthwaite).
    pub freedom: f64,
}

/// A component with the sources of its line.
struct Part {
    component: Component,
    sources: Vec<Source>,
}

impl Judged {
    /// Its budget, with the names of the parts and the statement of the sheet as the job has them; `None` where no
    /// uncertainty is known.
    #[must_use]
    pub fn budget(&self, job: Option<&Job>) -> Option<Lines> {
        self.u?;
        let mut parts = Vec::new();
        for (weight, error) in &self.rests {
            add(&mut parts, *weight, error, job);
        }
        let components = parts.iter().map(|part| part.component.clone()).collect();
        let combined = Budget { unit: "mm".to_owned(), components }.combined();
        Some(Lines { lines: lines(&parts), u: combined.u, freedom: combined.freedom })
    }
}

/// The parts of one error; of one that is made of others, theirs.
fn add(parts: &mut Vec<Part>, weight: f64, error: &PlaceError, job: Option<&Job>) {
    if let Some(made_of) = &error.made_of {
        made_of.iter().for_each(|(inner, error)| add(parts, weight * inner, error, job));
        return;
    }
    Known { parts, weight, error, job }.put_all();
}

struct Known<'a> {
    parts: &'a mut Vec<Part>,
    weight: f64,
    error: &'a PlaceError,
    job: Option<&'a Job>,
}

impl Known<'_> {
    fn put_all(mut self) {
        let gauge = &self.error.gauge;
        let (mark, standard) = (gauge.mark.clone(), gauge.standard.clone());
        let whose = gauge.hands.as_ref().map_or_else(String::new, |who| format!(" in the hands of {who}"));
        let reading = said_by(&self.error.reading, &self.error.repeats);
        let one = gauge.one_reading();
        let (rounding, by_part) = one.map_or((0.0, 0.0), |one| (one.rounding, one.by_part));
        let freedom = gauge.freedom();
        if let Some(interval) = self.error.interval.filter(|_| self.error.blades_apart().is_some()) {
            self.blades(interval, &reading);
            self.warmth(&standard);
            return;
        }
        if self.error.interval.is_some() {
            let name = format!("how wide {mark} leaves it, {reading}");
            self.put(name, self.error.repeat, None, [origin(&gauge.repeat_from, gauge)], f64::INFINITY);
            self.warmth(&standard);
            return;
        }
        let lobing = self.error.lobing;
        let known = [rounding, by_part, lobing].map(|part| part.powi(2)).iter().sum::<f64>();
        let scatter = (self.error.repeat.powi(2) - known).max(0.0).sqrt();
        let mean = match self.error.repeats.len() {
            0 => String::new(),
            more => format!(", mean of {}", more + 1),
        };
        let name = format!("repeat of {mark}{whose}, {reading}{mean}");
        self.put(name, scatter, None, [origin(&gauge.repeat_from, gauge)], freedom);
        let step = Source { words: format!("step of {mark}"), drop: gauge.rounding_from() };
        self.put(format!("rounding of {mark} to its step, {reading}"), rounding, None, [step], f64::INFINITY);
        let name = format!("what people differ by from part to part with {mark}{whose}, {reading}");
        let [of_hands, of_parts] = gauge.people_freedom();
        self.put(name, by_part, None, [origin(&gauge.repeat_from, gauge)], of_parts);
        let sheet = [self.sheet()];
        self.put(format!("lobes that two points do not see, {reading}"), lobing, None, sheet, f64::INFINITY);
        let name = format!("setting and scale of {standard}");
        self.put(
            name.clone(),
            self.error.setting,
            Some(name),
            [origin(&gauge.setting_from, gauge)],
            f64::INFINITY,
        );
        let name = format!("setting carried over to {mark}");
        self.put(
            name.clone(),
            self.error.transfer,
            Some(name),
            [origin(&gauge.transfer_from, gauge)],
            f64::INFINITY,
        );
        let name = format!("what people differ by with {mark}{whose}");
        self.put(name.clone(), self.error.hands, Some(name), [origin(&gauge.repeat_from, gauge)], of_hands);
        self.warmth(&standard);
    }

    /// What lies between two blades, and what each of them is off by.
    fn blades(&mut self, interval: Interval, reading: &str) {
        let mark = self.error.gauge.mark.clone();
        let said = self.papers(&format!("blades of {mark}"));
        let name = format!("anywhere between the blades, {reading}");
        self.put(name, interval.half / 3_f64.sqrt(), None, said, f64::INFINITY);
        let practice = || Source {
            words: "common practice: a blade is within 0.0004 in of what stands on it".to_owned(),
            drop: None,
        };
        let gauge = &self.error.gauge;
        let said_by = gauge.blade().and_then(|blade| blade.from.as_ref());
        let from = said_by.map_or_else(practice, |from| origin(from, gauge));
        for (end, which) in interval.ends.into_iter().zip(["that goes in", "that does not"]) {
            let name = format!("blade of {mark} {which}, {reading}");
            // It moves its own end alone, and what lies between moves by a part of that (a third of its variance).
            self.put_times(1.0 / 3_f64.sqrt(), (name, end, None), [from.clone()], f64::INFINITY);
        }
    }

    fn warmth(&mut self, standard: &str) {
        let warmth = self.error.warmth;
        let sheet = self.job.and_then(|job| job.sheet.as_ref());
        let part =
            sheet.and_then(|sheet| sheet.parts.get(warmth.of)).map_or("part", |part| part.key.as_str());
        let taken = self.papers("temperatures");
        let name = format!("how the {part} grows with heat");
        let grows = [taken.clone(), vec![self.sheet()]].concat();
        self.put(name.clone(), warmth.part, Some(name), grows.clone(), f64::INFINITY);
        let name = format!("how {standard} grows with heat");
        let steel = Source { words: "growth of steel, as the trade has it".to_owned(), drop: None };
        self.put(name.clone(), warmth.gauge, Some(name), [taken, vec![steel]].concat(), f64::INFINITY);
        let name = format!(
            "temperature of {standard}, which nobody took, in paper {}",
            self.error.reading.fact.short()
        );
        self.put(name.clone(), warmth.unsaid, Some(name), grows, f64::INFINITY);
        self.by_the_house(part, standard);
    }

    /// What the house rules say of temperatures, one draw a paper.
    fn by_the_house(&mut self, part: &str, standard: &str) {
        let (warmth, paper) = (self.error.warmth, self.error.reading.fact.short());
        let gauge = &self.error.gauge;
        let all = [&gauge.repeat_from, &gauge.setting_from, &gauge.transfer_from];
        let drop = all.into_iter().find_map(|origin| match origin {
            Origin::House(drop) => *drop,
            Origin::Certificate { .. } | Origin::Study { .. } => None,
        });
        let (taken, none) = (self.papers("temperatures"), self.papers("no temperature"));
        let house = |words: &str, papers: &[Source]| {
            [&[Source { words: format!("house rules, {words}"), drop }], papers].concat()
        };
        let (room, taken) = (
            house("how far a room is from 20 degrees", &none),
            house("what a thermometer is off by", &taken),
        );
        let name = format!("temperature of part and gauge, which nobody took, in paper {paper}");
        self.put(name.clone(), warmth.air, Some(name), room, f64::INFINITY);
        let name = format!("thermometer on the {part} in paper {paper}");
        self.put(name.clone(), warmth.part_taken, Some(name), taken.clone(), f64::INFINITY);
        let name = format!("thermometer on {standard} in paper {paper}");
        let cause = format!("thermometer on the gauge in paper {paper}");
        self.put(name, warmth.gauge_taken, Some(cause), taken, f64::INFINITY);
    }

    /// The sheet the job is judged by.
    fn sheet(&self) -> Source {
        Source { words: "sheet".to_owned(), drop: self.job.and_then(|job| job.grounds.first().copied()) }
    }

    /// What stands in the papers of the value, each once.
    fn papers(&self, what: &str) -> Vec<Source> {
        let mut named: Vec<Digest> = vec![self.error.reading.fact];
        for repeat in self.error.repeats.iter().filter(|repeat| repeat.fact != self.error.reading.fact) {
            if !named.contains(&repeat.fact) {
                named.push(repeat.fact);
            }
        }
        let of =
            |fact: Digest| Source { words: format!("{what} in paper {}", fact.short()), drop: Some(fact) };
        named.into_iter().map(of).collect()
    }

    /// A part that is nothing has no line.
    fn put(
        &mut self,
        name: String,
        amount: f64,
        cause: Option<String>,
        sources: impl IntoIterator<Item = Source>,
        freedom: f64,
    ) {
        self.put_times(1.0, (name, amount, cause), sources, freedom);
    }

    /// The same of what moves the value by so many times itself.
    fn put_times(
        &mut self,
        times: f64,
        (name, amount, cause): (String, f64, Option<String>),
        sources: impl IntoIterator<Item = Source>,
        freedom: f64,
    ) {
        if amount == 0.0 {
            return;
        }
        let sources: Vec<Source> = sources.into_iter().collect();
        let component = Component {
            name,
            rests_on: sources.iter().map(|source| source.words.as_str()).collect::<Vec<_>>().join("; "),
            u: amount.abs(),
            unit: "mm".to_owned(),
            sensitivity: self.weight * times * amount.signum(),
            freedom,
            cause,
        };
        self.parts.push(Part { component, sources });
    }
}

/// A reading and those averaged with it, by the short form of their drops and the row there.
fn said_by(reading: &ReadingRef, repeats: &[ReadingRef]) -> String {
    let named = |reading: &ReadingRef| format!("{}:{}", reading.fact.short(), reading.row + 1);
    let more: String = repeats.iter().map(|repeat| format!(", {}", named(repeat))).collect();
    format!("{} {}{more}", if repeats.is_empty() { "reading" } else { "readings" }, named(reading))
}

fn origin(origin: &Origin, gauge: &GaugeInUse) -> Source {
    match origin {
        Origin::House(drop) if gauge.figure_source.is_empty() => {
            Source { words: "house rules".to_owned(), drop: *drop }
        }
        Origin::House(drop) => Source { words: format!("house rules: {}", gauge.figure_source), drop: *drop },
        Origin::Certificate { drop, of, number } if number.is_empty() => {
            Source { words: format!("certificate of {of}"), drop: Some(*drop) }
        }
        Origin::Certificate { drop, of, number } => {
            Source { words: format!("certificate {number} of {of}"), drop: Some(*drop) }
        }
        Origin::Study { drop, freedom } => {
            Source { words: format!("study, {freedom:.0} degrees of freedom"), drop: Some(*drop) }
        }
    }
}

/// One line a cause.
fn lines(parts: &[Part]) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        let cause = &part.component.cause;
        let same = |other: &Part| cause.is_some() && other.component.cause == *cause;
        if parts.iter().take(index).any(same) {
            continue;
        }
        let met: Vec<&Part> =
            std::iter::once(part).chain(parts.iter().skip(index + 1).filter(|p| same(p))).collect();
        lines.push(line(&met, part));
    }
    lines
}

fn line(met: &[&Part], first: &Part) -> Line {
    let contributions: Vec<f64> = met.iter().map(|part| part.component.contribution()).collect();
    let mut from: Vec<Source> = Vec::new();
    for source in met.iter().flat_map(|part| &part.sources) {
        if !from.contains(source) {
            from.push(source.clone());
        }
    }
    Line {
        what: first.component.name.clone(),
        u: met.iter().map(|part| part.component.u).fold(0.0, f64::max),
        shared: first.component.cause.is_some(),
        enters: enters(&contributions),
        effect: contributions.iter().sum(),
        from,
        freedom: met.iter().map(|part| part.component.freedom).fold(f64::INFINITY, f64::min),
    }
}

/// How the contributions of one cause meet.
fn enters(contributions: &[f64]) -> String {
    let (sum, largest) = (
        contributions.iter().sum::<f64>().abs(),
        contributions.iter().map(|each| each.abs()).fold(0.0, f64::max),
    );
    let times = match contributions.len() {
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    };
    if contributions.len() == 1 {
        "once".to_owned()
    } else if sum <= largest * 1e-9 {
        format!("{times}, cancels")
    } else if sum < largest {
        format!("{times}, cancels in part")
    } else if sum > largest * (1.0 + 1e-9) {
        format!("{times}, adds")
    } else {
        format!("{times}, comes to once")
    }
}
