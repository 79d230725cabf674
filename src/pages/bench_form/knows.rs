//! What an engine and its shop know, as choices for the fields of a drop.

use crate::facts::Defect;
use crate::metrology::{Exact, Unit};
use crate::pages::JobView;
use crate::pages::bench_form::{done, fills, proposals};
use crate::pages::labels::known_labels;
use crate::pages::sections::steps_at_hand;
use crate::sheets::{Check, Fasteners, Feature, Part, Sheet, same_name};
use crate::shop::{FactSet, GaugeNow, Job, Shop};
use crate::stages::cautions::Step;
use crate::stages::{BlockerRule, Standing, usual};
use maud::{Markup, html};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// One choice: what is sent, and what is read.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    /// What is sent.
    pub(super) value: String,
    /// What is read.
    pub(super) words: String,
}

impl Choice {
    pub(super) fn of(value: &str, words: &str) -> Self {
        Self { value: value.to_owned(), words: words.to_owned() }
    }
}

/// A choice that fills several fields at once.
#[derive(Clone, Debug)]
pub(super) struct Fill {
    /// What is read.
    pub(super) words: String,
    /// What goes into which field.
    pub(super) values: Value,
}

/// Choices by list, and tables of choices that hang on another field.
#[derive(Clone, Debug, Default)]
pub(super) struct Knows {
    lists: BTreeMap<&'static str, Vec<Choice>>,
    tables: Map<String, Value>,
    fills: BTreeMap<&'static str, Vec<Fill>>,
    checks: Vec<Value>,
    /// What is done at this gate and the next.
    pub(super) steps: Vec<Step>,
    /// Parts that nobody has taken off yet, in words.
    pub(super) still_on: String,
    /// The sheet's unit; empty without a sheet.
    pub(super) unit: String,
}

impl Knows {
    /// Of the shop alone.
    pub(super) fn of_shop(shop: &Shop) -> Self {
        let mut knows = Self::default();
        let sheets: Vec<_> = shop.newest_sheets().collect();
        let words = |sheet: &Sheet| format!("{}: {}", sheet.key, sheet.name);
        knows.lists.insert("sheets", sheets.iter().map(|s| Choice::of(&s.key, &words(s))).collect());
        let scopes = |sheet: &Sheet| json!(sheet.scopes.iter().map(|scope| &scope.key).collect::<Vec<_>>());
        knows.tables.insert("scopes".to_owned(), sheets.iter().map(|s| (s.key.clone(), scopes(s))).collect());
        let names = shop.people().iter().map(|person| Choice::of(&person.name, &person.name));
        knows.lists.insert("people", names.collect());
        let gauges = shop.gauge_marks().map(|(mark, instrument)| Choice::of(mark, instrument));
        let gauges: Vec<Choice> = gauges.collect();
        // What is said of a gauge keeps what it is set from.
        let fill = |gauge: &GaugeNow| Fill {
            words: format!("{}: {}", gauge.mark, gauge.instrument),
            values: fills::of_gauge(gauge),
        };
        knows.fills.insert("gauge", shop.gauges().iter().map(fill).collect());
        knows.lists.insert("gauges", gauges);
        let kinds = shop.newest_rules().map_or(&[][..], |rules| rules.instruments.as_slice());
        let kinds = kinds.iter().map(|kind| Choice::of(&kind.instrument, "a kind the house rules know"));
        knows.lists.insert("instruments", kinds.collect());
        knows
    }

    /// Of the shop and one engine.
    pub(super) fn of_job(view: &JobView, set: &FactSet, shop: &Shop) -> Self {
        let mut knows = Self::of_shop(shop);
        if let Some(sheet) = &view.job.sheet {
            knows.unit = sheet.unit.symbol().to_owned();
            knows.parts_and_features(sheet);
            knows.usual(sheet);
            knows.groups(&view.job, sheet);
            knows.checks(&view.job, &view.standing, sheet);
            knows.fills.extend(proposals::of(view, sheet));
            knows.looked_at(&view.job, sheet);
        }
        knows.people_outside(view);
        let orders = view.job.orders.values().map(|order| Choice::of(&order.number, &order.out.to));
        knows.lists.insert("orders", orders.collect());
        knows.steps = steps_at_hand(view);
        knows.fills.extend(fills::of(view, set));
        knows.tables.insert("labels".to_owned(), Value::Object(known_labels(view)));
        knows
    }

    /// Whom the check-in names: they answer for money.
    fn people_outside(&mut self, view: &JobView) {
        let Some(check_in) = &view.job.check_in else { return };
        let people = self.lists.entry("people").or_default();
        for name in [check_in.may_approve(), &check_in.customer.name] {
            if !name.is_empty() && people.iter().all(|known| known.value != name) {
                people.push(Choice::of(name, "named at check-in"));
            }
        }
    }

    fn parts_and_features(&mut self, sheet: &Sheet) {
        let plain = |keys: Vec<&String>| keys.into_iter().map(|key| Choice::of(key, key)).collect::<Vec<_>>();
        let features = plain(sheet.features.iter().map(|f| &f.key).collect());
        let mut judged = features.clone();
        judged.extend(plain(sheet.pairs.iter().map(|pair| &pair.key).collect()));
        self.lists.insert("parts", plain(sheet.parts.iter().map(|part| &part.key).collect()));
        self.lists.insert("features", features);
        self.lists.insert("judged", judged);
        let mut classes: Vec<&String> =
            sheet.features.iter().map(|f| &f.group).filter(|g| !g.is_empty()).collect();
        classes.sort_unstable();
        classes.dedup();
        self.lists.insert("classes", plain(classes));
        self.lists.insert("sizes", sizes(sheet));
        let of_parts = sheet.parts.iter().map(|part| (part.key.clone(), json!(part.positions)));
        self.tables.insert("part-positions".to_owned(), of_parts.collect());
        let of_features = sheet.features.iter().map(|f| (f.key.clone(), json!(f.positions)));
        let of_features: Map<String, Value> = of_features.collect();
        let of_pairs = sheet.pairs.iter().filter_map(|pair| {
            let feature = sheet.features.get(pair.inner.feature)?;
            Some((pair.key.clone(), json!(feature.positions)))
        });
        let judged: Map<String, Value> = of_features.clone().into_iter().chain(of_pairs).collect();
        self.tables.insert("feature-positions".to_owned(), Value::Object(of_features));
        self.tables.insert("judged-positions".to_owned(), Value::Object(judged));
    }

    /// What usually becomes of a part with a defect. Parts of which the same is usual share a row.
    fn usual(&mut self, sheet: &Sheet) {
        let mut rows: Vec<Map<String, Value>> = Vec::new();
        let mut row_of = Map::new();
        for part in &sheet.parts {
            let usual = usual(&part.key);
            let defects = Defect::ALL.iter().filter_map(|defect| {
                let usual = usual(*defect)?;
                Some((defect.word().to_owned(), json!([usual.what.word(), usual.how])))
            });
            let row: Map<String, Value> = defects.collect();
            let at = rows.iter().position(|known| *known == row).unwrap_or_else(|| {
                rows.push(row);
                rows.len() - 1
            });
            row_of.insert(part.key.clone(), json!(at));
        }
        self.tables.insert("usual-row".to_owned(), Value::Object(row_of));
        self.tables.insert("usual".to_owned(), rows.into_iter().map(Value::Object).collect());
    }

    fn looked_at(&mut self, job: &Job, sheet: &Sheet) {
        let words = |(index, part): (usize, &Part)| {
            let looked = if done::is_looked_at(job, index) { " (looked at)" } else { "" };
            Choice::of(&part.key, &format!("{}{looked}", part.key))
        };
        self.lists.insert("looked", sheet.parts.iter().enumerate().map(words).collect());
        self.still_on = done::still_on(job);
    }

    fn groups(&mut self, job: &Job, sheet: &Sheet) {
        let words = |group: &str, name: &str| Choice::of(group, &format!("{group}: {name}"));
        let plugs = sheet.plugs.iter().chain(&sheet.pins);
        let fasteners = sheet.fasteners.iter().map(|f| words(&f.group, &f.name));
        self.lists
            .insert("groups", fasteners.chain(plugs.clone().map(|p| words(&p.group, &p.name))).collect());
        let joint = |f: &Fasteners| {
            let words = format!("{}: {}, {}{}", f.group, f.name, done::torque(f), done::stages_left(job, f));
            Choice::of(&f.group, &words)
        };
        self.lists.insert("joints", sheet.fasteners.iter().map(joint).collect());
        let rows = |group: &String, sizes: &mut dyn Iterator<Item = (&str, u32)>| {
            let row = |(index, (size, count)): (usize, (&str, u32))| {
                with(
                    json!({ "size": size, "on the sheet": count }),
                    "counted",
                    done::counted(job, group, index),
                )
            };
            (group.clone(), sizes.enumerate().map(row).collect::<Value>())
        };
        let of_fasteners = sheet.fasteners.iter().map(|f| rows(&f.group, &mut f.counted()));
        let of_plugs = plugs.map(|p| rows(&p.group, &mut p.sizes.iter().map(|s| (s.size.as_str(), s.count))));
        self.tables.insert("sizes".to_owned(), of_fasteners.chain(of_plugs).collect());
        let places = sheet.fasteners.iter().map(|group| {
            let places = group.sizes.iter().flat_map(|size| &size.places);
            (group.group.clone(), json!(places.collect::<Vec<_>>()))
        });
        self.tables.insert("bolt-places".to_owned(), places.collect());
        let stages = sheet.fasteners.iter().map(|group| {
            (group.group.clone(), (1..=group.stage_count()).map(|stage| stage.to_string()).collect::<Value>())
        });
        self.tables.insert("stages".to_owned(), stages.collect());
    }

    fn checks(&mut self, job: &Job, standing: &Standing, sheet: &Sheet) {
        let asked: Vec<&Check> = sheet.checks.iter().filter(|check| job.concerns(&check.scopes)).collect();
        let words =
            |check: &&Check| Choice::of(&check.key, &format!("{}: {}", check.stage.word(), check.words));
        self.lists.insert("checks", asked.iter().map(words).collect());
        // Open rows for what is asked now, or next where nothing is; any other check is added by its name.
        let open = || standing.blockers.iter().filter(|blocker| blocker.rule == BlockerRule::Checked);
        let last = open().map(|blocker| blocker.stage).min().max(Some(standing.stage));
        let is_open = |check: &&&Check| {
            open().any(|blocker| Some(blocker.stage) <= last && same_name(&blocker.about, &check.key))
        };
        let row =
            |check: &&Check| with(json!({ "check": check.key }), "answered", done::answered(job, check));
        self.checks = asked.iter().filter(is_open).map(row).collect();
    }

    /// The choices of a list.
    pub(super) fn list(&self, name: &str) -> &[Choice] {
        self.lists.get(name).map_or(&[], Vec::as_slice)
    }

    /// Rows that a list begins with.
    pub(super) fn rows(&self, kind: &str, key: &str) -> Option<Value> {
        let checks = kind == "assembly" && key == "checks" && !self.checks.is_empty();
        checks.then(|| Value::Array(self.checks.clone()))
    }

    /// A choice that fills the fields of a group, where there is something to choose.
    pub(super) fn fill(&self, kind: &str, key: &str) -> Markup {
        let fills = self.fills.get(key).or_else(|| self.fills.get(kind).filter(|_| key.is_empty()));
        html! {
            @if let Some(fills) = fills.filter(|fills| !fills.is_empty()) {
                label.field.fills {
                    span { "choose what it is about" }
                    select data-fills="yes" {
                        option value="" { "choose, or fill in below" }
                        @for fill in fills { option value=(fill.values) { (fill.words) } }
                    }
                }
            }
        }
    }

    /// Lists to choose from while typing, once a page.
    pub(super) fn suggestions(&self) -> Markup {
        html! {
            @for name in ["people", "gauges", "instruments", "parts", "sizes", "orders"] {
                datalist id={ "list-" (name) } {
                    @for choice in self.list(name) { option value=(choice.value) { (choice.words) } }
                }
            }
        }
    }

    /// The tables for the script, safe inside an element of script.
    pub(super) fn tables(&self) -> String {
        Value::Object(self.tables.clone()).to_string().replace('<', "\\u003c")
    }
}

/// An object with one more text, where there is something to say.
pub(super) fn with(mut object: Value, key: &str, text: String) -> Value {
    if let Some(entries) = object.as_object_mut().filter(|_| !text.is_empty()) {
        entries.insert(key.to_owned(), text.into());
    }
    object
}

/// Size words of the sheet: standard, then every step of every series.
fn sizes(sheet: &Sheet) -> Vec<Choice> {
    let mut words = vec!["standard".to_owned()];
    for word in sheet.features.iter().flat_map(|feature| steps(feature, sheet.unit)) {
        if !words.contains(&word) {
            words.push(word);
        }
    }
    words.iter().map(|word| Choice::of(word, word)).collect()
}

fn steps(feature: &Feature, unit: Unit) -> Vec<String> {
    let Some(series) = &feature.sizes else { return Vec::new() };
    // A shell is made for a shaft that is under size.
    let sense = if series.sign < 0 || series.halved { "under" } else { "over" };
    let steps = series.select_fit.iter().chain(&series.steps);
    steps.map(|step: &Exact| format!("{} {sense}", crate::facts::show_step(*step, unit))).collect()
}
