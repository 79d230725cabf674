//! Labels of one engine, several to a sheet: one for the engine, one for each bag that was counted, one for each part that is
//! off. Words large enough to read at arm's length come first; the code says the same as the short text below it
//! ([`label_text`](super::label_text)).

use crate::facts::PieceState;
use crate::pages::JobView;
use crate::pages::code_drawing::code_drawing;
use crate::pages::frame::label_page;
use crate::pages::label_text::{LabelKind, label_text};
use crate::pages::sections::{headed, joined, size_words};
use crate::sheets::{Sheet, same_name};
use crate::shop::{Bag, Job, PartLife, PartPlace};
use maud::{Markup, html};
use serde_json::{Map, Value, json};

/// One label.
struct Label {
    kind: LabelKind,
    /// What is written on it: `B-12`, `piston 3`.
    name: String,
    /// The short text; empty where it has none, or another label has the same.
    text: String,
    /// What it is and where it goes, one line each.
    lines: Vec<String>,
    /// What goes into which field of a bench form.
    fills: Value,
}

impl Label {
    fn of(job: &Job, kind: LabelKind, name: String, lines: Vec<String>, fills: Value) -> Self {
        let text = label_text(kind, &job.written, &name).unwrap_or_default();
        Self { kind, name, text, lines, fills }
    }

    fn html(&self, foot: &str) -> Markup {
        html! {
            div.label {
                @if let Some(code) = code_drawing(&self.text, &self.text).filter(|_| !self.text.is_empty()) { (code) }
                h2 { (self.name) }
                @for line in &self.lines { p { (line) } }
                p.foot { (foot) }
                @if !self.text.is_empty() { p.text { (self.text) } }
            }
        }
    }
}

/// Is there anything to stick a label on?
#[must_use]
pub fn has_labels(job: &Job) -> bool {
    job.check_in.is_some()
}

/// Everything that takes a label, the engine first.
fn labels_of(view: &JobView) -> Vec<Label> {
    let job = &view.job;
    let mut all = vec![whole(job)];
    if let Some(sheet) = job.sheet.as_deref() {
        all.extend(bags(job, sheet));
        let off = job.parts.iter().filter(|(_, life)| is_off(life));
        all.extend(off.map(|(place, life)| part(job, sheet, *place, life)));
    }
    // A text that leads to two things leads to neither.
    let texts: Vec<String> = all.iter().map(|label| label.text.clone()).collect();
    for label in &mut all {
        if texts.iter().filter(|text| **text == label.text).count() > 1 {
            label.text.clear();
        }
    }
    all
}

/// It lies somewhere in the shop, or is with others, and comes back.
const fn is_off(life: &PartLife) -> bool {
    life.off.is_some() && life.fitted.is_none() && life.scrapped.is_none() && life.missing.is_none()
}

fn whole(job: &Job) -> Label {
    let sheet = job.sheet.as_ref().map_or("", |sheet| sheet.name.as_str());
    let mut lines = vec![sheet.to_owned()];
    if let Some(check_in) = &job.check_in {
        lines.push(headed("serial ", &check_in.engine.serial));
        lines.push(headed("castings ", &check_in.engine.castings.join(", ")));
        lines.push(check_in.scope.join(", "));
        lines.push(headed("promised: ", check_in.promised.as_deref().unwrap_or_default()));
        lines.push(headed("place: ", &check_in.place));
    }
    lines.retain(|line| !line.is_empty());
    Label::of(job, LabelKind::Job, job.written.clone(), lines, json!({}))
}

fn part(job: &Job, sheet: &Sheet, place: PartPlace, life: &PartLife) -> Label {
    let stamps = life.stamps.iter().map(|(group, size)| format!("{group} {}", size_words(job, Some(*size))));
    let stamps = stamps.collect::<Vec<_>>().join(", ");
    let piece = if life.instance > 1 { format!("piece {}", life.instance) } else { String::new() };
    let mut lines = vec![
        life.where_words(),
        headed("way round: ", &life.way_round),
        headed("marks: ", &life.marks),
        headed("stamped: ", &stamps),
        piece,
    ];
    lines.retain(|line| !line.is_empty());
    let kind = sheet.parts.get(place.0);
    let position = kind.and_then(|kind| kind.positions.get(place.1));
    let fills =
        json!({ "part": kind.map(|kind| &kind.key), "positions": position.into_iter().collect::<Vec<_>>() });
    Label::of(job, LabelKind::Part, job.parts_name(&[place]), lines, fills)
}

/// One label for each label that was written on a bag; a bag nobody labelled has its group's name.
fn bags(job: &Job, sheet: &Sheet) -> Vec<Label> {
    let mut all: Vec<(String, Vec<String>, Value)> = Vec::new();
    for bag in job.bags.values().filter(|bag| bag.is_counted_out()) {
        for (name, lines) in of_group(sheet, bag) {
            match all.iter_mut().find(|(known, ..)| *known == name) {
                Some((_, known, _)) => known.extend(lines),
                None => all.push((name.clone(), lines, json!({ "group": bag.group, "bag": name }))),
            }
        }
    }
    all.into_iter().map(|(name, lines, fills)| Label::of(job, LabelKind::Bag, name, lines, fills)).collect()
}

/// The labels of one group with what lies in each bag.
fn of_group(sheet: &Sheet, bag: &Bag) -> Vec<(String, Vec<String>)> {
    let (title, sizes) = named(sheet, bag);
    let mut all: Vec<(String, Vec<String>)> = Vec::new();
    for (index, size) in sizes.iter().enumerate() {
        let (count, note) = counted(bag, index);
        if count == 0 {
            continue;
        }
        let (label, place) = bag.lies(index);
        let name = if label.is_empty() { &bag.group } else { label };
        let line = joined(&[&format!("{count} of {size}"), &note, place], ", ");
        match all.iter_mut().find(|(known, _)| known == name) {
            Some((_, lines)) => lines.push(line),
            None => all.push((name.to_owned(), vec![title.clone(), line])),
        }
    }
    let of_all = joined(&[&headed("threads ", &bag.thread), &headed("grade ", &bag.grade)], ", ");
    for (_, lines) in all.iter_mut().filter(|_| !of_all.is_empty()) {
        lines.push(of_all.clone());
    }
    all
}

/// Pieces of a size that were put into a bag, and what was said of their threads.
fn counted(bag: &Bag, size: usize) -> (u32, String) {
    let Some(count) = bag.counts.get(&(size, PieceState::Bagged)) else { return (0, String::new()) };
    let trouble = count.trouble.map_or_else(String::new, |(what, many)| format!("{many} {}", what.word()));
    let note = joined(&[&headed("threads ", &count.thread), &headed("grade ", &count.grade), &trouble], ", ");
    (count.count, note)
}

/// `G03, Cylinder head` and the sizes of the group.
fn named(sheet: &Sheet, bag: &Bag) -> (String, Vec<String>) {
    let bolts = sheet.fasteners(&bag.group);
    let bolts = bolts.map(|f| (&f.name, f.counted().map(|(size, _)| size.to_owned()).collect()));
    let plugs = || {
        let plugs = sheet.plugs(&bag.group)?;
        Some((&plugs.name, plugs.sizes.iter().map(|size| size.size.clone()).collect()))
    };
    let (name, sizes) =
        bolts.or_else(plugs).map_or_else(Default::default, |(name, sizes)| (name.clone(), sizes));
    let title = if same_name(&bag.group, &name) { name } else { joined(&[&bag.group, &name], ", ") };
    (title, sizes)
}

/// The page of labels of one job.
#[must_use]
pub fn labels(view: &JobView) -> String {
    let job = &view.job;
    let customer = job.check_in.as_ref().map_or("", |check_in| check_in.customer.name.as_str());
    let foot = joined(&[&format!("Job {}", job.written), customer], ", ");
    let content = html! {
        p.quiet {
            "For the engine, each bag that was counted and each part that is off. Printed in full size they fit on A4 and on "
            "Letter; cut along the lines. The code holds the short text below it, which can be typed on the bench form instead."
        }
        div.labels { @for label in labels_of(view) { (label.html(&foot)) } }
    };
    label_page(&format!("Labels, job {}", job.written), &content)
}

/// The labels for programs.
pub(super) fn labels_json(view: &JobView) -> Vec<Value> {
    let json = |label: Label| json!({ "kind": label.kind.word(), "label": label.name, "text": label.text, "lines": label.lines });
    labels_of(view).into_iter().map(json).collect()
}

/// By short text what goes into which field of the bench form; without a text, the label that is meant.
pub(super) fn known_labels(view: &JobView) -> Map<String, Value> {
    let with_text = labels_of(view).into_iter().filter(|label| !label.text.is_empty());
    with_text
        .map(|label| {
            (label.text, json!({ "kind": label.kind.word(), "label": label.name, "fills": label.fills }))
        })
        .collect()
}
