//! Fields from a schema: each property becomes a field whose name, hint, needs and limits are the schema's own words.
//!
//! A field is an element with `data-key` and `data-shape`; what holds fields has `data-holder`. The script reads and
//! checks by these alone, so form, check and schema are one text.

use crate::metrology::Unit;
use crate::pages::bench_form::knows::{Choice, Knows};
use crate::pages::bench_form::offers::{
    ANY_OF, MOST_ONE_OF, OPEN, Offer, STAYS, UNIT_WITH, needed_when, offer, rank,
};
use maud::{Markup, html};
use serde_json::{Value, json};

/// Makes the fields of one kind.
pub(super) struct Fields<'a> {
    /// The kind of drop.
    pub(super) kind: &'a str,
    /// What the engine and the shop know.
    pub(super) knows: &'a Knows,
}

/// One property on its way to a field.
struct Slot<'a> {
    key: &'a str,
    path: String,
    schema: &'a Value,
    needed: bool,
    /// Only asked with one of these.
    with: Option<String>,
}

impl Fields<'_> {
    /// The fields of an object's schema; `skip` names properties that are not asked, or asked elsewhere.
    pub(super) fn object(&self, path: &str, schema: &Value, skip: &[&str]) -> Markup {
        let required = texts(schema.get("required"));
        let mut slots = self.slots(path, schema, &required);
        slots.retain(|slot| !skip.contains(&slot.key));
        slots.sort_by_key(|slot| rank(slot.key));
        let most = schema.get("maxProperties").and_then(Value::as_u64);
        let one_of = most.is_some_and(|most| most == required.len() as u64 + 1);
        let (fixed, others): (Vec<_>, Vec<_>) = slots.into_iter().partition(|slot| !one_of || slot.needed);
        html! {
            @for slot in &fixed { (self.slot(slot, false)) }
            @if one_of {
                label.field.which {
                    span { "which" b { " needed" } }
                    select data-which="yes" {
                        option value="" { "choose" }
                        @for slot in &others { option value=(slot.key) { (words_of(slot.key)) ": " (hint(slot.schema)) } }
                    }
                    em.bad {}
                }
                @for slot in &others { (self.slot(slot, true)) }
            }
        }
    }

    fn slots<'s>(&self, path: &str, schema: &'s Value, required: &[&str]) -> Vec<Slot<'s>> {
        let Some(properties) = schema.get("properties").and_then(Value::as_object) else { return Vec::new() };
        let with = self.unit_with(path, schema, required);
        let slot = |(key, schema): (&'s String, &'s Value)| {
            let path = if path.is_empty() { key.clone() } else { format!("{path}/{key}") };
            let needed = required.contains(&key.as_str());
            Slot { key, path, schema, needed, with: with.clone().filter(|_| key == "unit") }
        };
        properties.iter().map(slot).collect()
    }

    /// A unit that is there for the sake of other fields goes with them only.
    fn unit_with(&self, path: &str, schema: &Value, required: &[&str]) -> Option<String> {
        if required.contains(&"unit") {
            return None;
        }
        let known = UNIT_WITH.iter().find(|(kind, _)| *kind == self.kind && path.is_empty());
        if let Some((_, keys)) = known {
            return Some(keys.join(" "));
        }
        let depends = schema.get("dependentRequired").and_then(Value::as_object)?;
        Some(depends.keys().cloned().collect::<Vec<_>>().join(" "))
    }

    fn slot(&self, slot: &Slot<'_>, alternative: bool) -> Markup {
        let kind = slot.schema.get("type").and_then(Value::as_str);
        let items = slot.schema.get("items");
        let of_objects = items.and_then(|items| items.get("type")).and_then(Value::as_str) == Some("object");
        match (kind, offer(self.kind, &slot.path)) {
            (Some("object"), _) => self.group(slot, alternative),
            (Some("array"), _) if of_objects => self.list(slot),
            (Some("array"), Offer::Ticked { after, of }) => self.ticks(slot, after, of),
            (Some("array"), Offer::Typed | Offer::Chosen(_) | Offer::Suggested(_)) => lines(slot),
            (_, offer) => self.leaf(slot, offer),
        }
    }

    fn group(&self, slot: &Slot<'_>, alternative: bool) -> Markup {
        html! {
            fieldset data-key=(slot.key) data-shape="object" data-holder="yes" data-needed=[yes(slot.needed)]
                data-alternative=[yes(alternative)] hidden=[alternative.then_some("hidden")] data-stays=[self.stays(slot)] {
                legend { (words_of(slot.key)) (need(slot.needed)) }
                p.quiet { (hint(slot.schema)) }
                (self.knows.fill(self.kind, slot.key))
                (self.object(&slot.path, slot.schema, &[]))
                em.bad {}
            }
        }
    }

    fn list(&self, slot: &Slot<'_>) -> Markup {
        let items = slot.schema.get("items").unwrap_or(&Value::Null);
        let rows = self.knows.rows(self.kind, slot.key);
        let follows = (self.kind == "hardware" && slot.key == "pieces").then_some("group");
        let first = slot.needed || OPEN.contains(&(self.kind, slot.key));
        html! {
            fieldset data-key=(slot.key) data-shape="list" data-needed=[yes(slot.needed)] data-first=[yes(first)]
                data-rows=[rows.map(|rows| rows.to_string())] data-rows-follow=[follows] {
                legend { (words_of(slot.key)) (need(slot.needed)) }
                p.quiet { (hint(slot.schema)) }
                div.items {}
                template { div.item data-holder="yes" {
                    (self.knows.fill(self.kind, slot.key))
                    (self.object(&slot.path, items, &[]))
                    em.bad {}
                    button type="button" data-take-out="yes" { "Take this out" }
                } }
                button type="button" data-add="yes" { "Add " (hint(items)) }
                em.bad {}
            }
        }
    }

    fn ticks(&self, slot: &Slot<'_>, after: &str, of: &str) -> Markup {
        let integers = slot.schema.pointer("/items/type").and_then(Value::as_str) == Some("integer");
        let needed_when = self.needed_when(slot);
        let all = match (slot.needed, &needed_when) {
            (true, _) => "",
            (false, None) => "; none ticked: all of them",
            (false, Some(_)) => "; none ticked: all of them, where it may be all",
        };
        html! {
            fieldset.ticks data-key=(slot.key) data-shape="picks" data-follows=(after) data-of=(of) data-needed=[yes(slot.needed)]
                data-needed-when=[needed_when] data-integers=[yes(integers)] hidden="hidden" {
                legend { (words_of(slot.key)) (need(slot.needed)) }
                div.boxes {}
                small { (hint(slot.schema)) (all) }
                em.bad {}
            }
        }
    }

    /// In which case it is needed, for the script.
    fn needed_when(&self, slot: &Slot<'_>) -> Option<String> {
        let (key, values) = needed_when(self.kind, &slot.path)?;
        Some(json!({ "key": key, "values": values }).to_string())
    }

    fn leaf(&self, slot: &Slot<'_>, offer: Offer) -> Markup {
        let shape = shape(slot.schema);
        let needed_when = self.needed_when(slot);
        let text = |key: &str| slot.schema.get(key).and_then(Value::as_str);
        let number = |key: &str| slot.schema.get(key).and_then(Value::as_u64);
        let agrees = (slot.path == "findings/severity")
            .then(|| json!({ "key": "defect", "value": "nothing found", "then": "0" }).to_string());
        let usual = (slot.path == "findings/disposition").then_some("part defect");
        let is_unit = slot.key == "unit";
        // A text that is needed but may be empty says something by being empty.
        let empty = slot.needed && shape == "text" && number("minLength") == Some(0);
        html! {
            label.field data-key=(slot.key) data-shape=(shape) data-needed=[yes(slot.needed && !empty)]
                data-needed-when=[needed_when] data-pattern=[text("pattern")]
                data-min=[number("minimum")] data-max=[number("maximum")] data-agrees=[agrees] data-usual=[usual]
                data-empty=[yes(empty)] data-quiet=[yes(is_unit)] data-with=[slot.with.as_ref()]
                data-stays=[self.stays(slot)] data-length=[yes(is_length(slot.schema))] data-decimals=[(above(&slot.path) == "temperatures").then_some("3")] {
                span { (words_of(slot.key)) (need(slot.needed && !empty)) }
                (self.control(slot, shape, offer))
                small { (hint(slot.schema)) (example(slot.schema)) }
                em.bad {}
            }
        }
    }

    /// The words of a choice. Readings that are no lengths bring their own unit.
    fn words<'s>(&self, slot: &Slot<'s>) -> Vec<&'s str> {
        let mut words = texts(slot.schema.get("enum"));
        if self.kind == "measurements" && slot.key == "unit" {
            words.retain(|symbol| Unit::from_symbol(symbol).is_some_and(Unit::is_length));
        }
        words
    }

    /// Whether it stays after saving, and for which field.
    fn stays(&self, slot: &Slot<'_>) -> Option<&'static str> {
        let own = |(kind, keys, _): &&(&str, &[&str], &str)| *kind == self.kind && keys.contains(&slot.key);
        STAYS.iter().find(own).filter(|_| !slot.path.contains('/')).map(|(.., stays_for)| *stays_for)
    }

    fn control(&self, slot: &Slot<'_>, shape: &str, offer: Offer) -> Markup {
        let most = slot.schema.get("maxLength").and_then(Value::as_u64);
        let words: Vec<Choice> = self.words(slot).into_iter().map(|word| Choice::of(word, word)).collect();
        let chosen = if slot.key == "unit" { self.knows.unit.as_str() } else { "" };
        let list = if let Offer::Chosen(list) = offer { self.knows.list(list) } else { &[] };
        let suggested = if let Offer::Suggested(list) = offer { Some(format!("list-{list}")) } else { None };
        let yes_no = [Choice::of("yes", "yes"), Choice::of("no", "no")];
        match shape {
            "choice" => select(&words, chosen),
            "yesno" => select(&yes_no, ""),
            "integer" if slot.key == "severity" => select(&severities(slot.schema), ""),
            "integer" => html! { input type="text" inputmode="numeric" maxlength="6"; },
            "date" => html! { input type="date"; },
            // The device's own offset is added to it.
            "moment" => html! { input type="datetime-local"; },
            "digits" => {
                html! { input type="text" inputmode=[suggested.is_none().then_some("decimal")] maxlength=[most.or(Some(24))] list=[suggested]; }
            }
            _ if !list.is_empty() => select(list, ""),
            "long" => html! { textarea rows="2" maxlength=[most] {} },
            _ => html! { input type="text" maxlength=[most] list=[suggested]; },
        }
    }
}

/// Fields of which the body needs at least one.
pub(super) fn any_of(kind: &str) -> Option<String> {
    ANY_OF.iter().find(|(of, _)| *of == kind).map(|(_, keys)| keys.join(" "))
}

/// Fields of which the body has one at the most.
pub(super) fn most_one_of(kind: &str) -> Option<String> {
    MOST_ONE_OF.iter().find(|(of, _)| *of == kind).map(|(_, keys)| keys.join(" "))
}

fn select(choices: &[Choice], chosen: &str) -> Markup {
    html! { select {
        option value="" { "choose" }
        @for choice in choices {
            option value=(choice.value) selected=[(choice.value == chosen).then_some("selected")] { (choice.words) }
        }
    } }
}

/// `0 nothing found, 1 cosmetic, ...`: the schema's own words, one choice a number.
fn severities(schema: &Value) -> Vec<Choice> {
    let words = hint(schema);
    words.split(", ").map(|part| Choice::of(part.split(' ').next().unwrap_or_default(), part)).collect()
}

fn lines(slot: &Slot<'_>) -> Markup {
    let pattern = slot.schema.pointer("/items/pattern").and_then(Value::as_str);
    let most = slot.schema.pointer("/items/maxLength").and_then(Value::as_u64);
    html! {
        label.field data-key=(slot.key) data-shape="lines" data-needed=[yes(slot.needed)] data-pattern=[pattern] data-most=[most]
            {
            span { (words_of(slot.key)) (need(slot.needed)) }
            textarea rows="2" {}
            small { (hint(slot.schema)) ", one a line" }
            em.bad {}
        }
    }
}

/// How the script reads a single value.
fn shape(schema: &Value) -> &'static str {
    let pattern = schema.get("pattern").and_then(Value::as_str).unwrap_or_default();
    let digits =
        ["^-?[0-9]", "^[+-]?[0-9]", "^[0-9]{", "^(standard"].iter().any(|begin| pattern.starts_with(begin));
    let long = schema.get("maxLength").and_then(Value::as_u64).is_some_and(|most| most > 300);
    let format = schema.get("format").and_then(Value::as_str);
    match schema.get("type").and_then(Value::as_str) {
        None if schema.get("enum").is_some() => "choice",
        Some("boolean") => "yesno",
        Some("integer") => "integer",
        _ if format == Some("date") => "date",
        _ if format == Some("date-time") => "moment",
        _ if digits => "digits",
        _ if long => "long",
        _ => "text",
    }
}

/// Digits that are a length have the decimals of their unit at most.
fn is_length(schema: &Value) -> bool {
    let pattern = schema.get("pattern").and_then(Value::as_str).unwrap_or_default();
    pattern.contains("{1,5}(\\.[0-9]{1,6})")
}

/// What holds the field at this path.
fn above(path: &str) -> &str {
    path.rsplit('/').nth(1).unwrap_or_default()
}

const fn yes(is: bool) -> Option<&'static str> {
    if is { Some("yes") } else { None }
}

fn need(needed: bool) -> Markup {
    html! { @if needed { b { " needed" } } }
}

fn words_of(key: &str) -> String {
    key.replace('-', " ")
}

/// What the schema says is expected here.
pub(super) fn hint(schema: &Value) -> &str {
    schema.get("description").and_then(Value::as_str).unwrap_or_default()
}

fn example(schema: &Value) -> String {
    let shown = schema.get("pattern").is_some() && shape(schema) == "digits";
    let example = schema.pointer("/examples/0").and_then(Value::as_str).filter(|_| shown);
    example.map_or_else(String::new, |example| format!(", for example {example}"))
}

fn texts(list: Option<&Value>) -> Vec<&str> {
    list.and_then(Value::as_array)
        .map_or_else(Vec::new, |list| list.iter().filter_map(Value::as_str).collect())
}
