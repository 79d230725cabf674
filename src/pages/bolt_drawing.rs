//! The bolts of a joint drawn where they stand, each with its number in the order.
//!
//! Numbers and words alone carry the meaning, lines are drawn in the colour of the text: it reads the same on paper, in the
//! dark and without colours. On a terminal the same rows are written as words.

use crate::pages::JobView;
use crate::sheets::{BoltOrder, Fasteners, Layout, Sheet, fold_name, same_name};
use crate::shop::{Bag, Joint};
use maud::{Markup, html};

/// A joint seen from above with its order.
#[derive(Clone, Debug)]
pub(super) struct Drawing {
    /// `G03 Cylinder head: tighten in this order`.
    title: String,
    /// How it is done, one line each.
    notes: Vec<String>,
    left: String,
    right: String,
    rows: Vec<(String, Vec<Option<Spot>>)>,
}

/// A bolt of a drawing.
#[derive(Clone, Debug)]
struct Spot {
    place: String,
    number: Option<usize>,
    /// Letter of its size, where the joint has several.
    size: Option<char>,
    /// It has had the stage in hand.
    done: bool,
}

/// Width and height a bolt takes, its radius, in points of the drawing.
const CELL: (usize, usize) = (72, 92);
const RADIUS: usize = 24;
/// More columns than this do not shrink to a telephone: they are moved under the finger.
const FITS_A_TELEPHONE: usize = 6;

impl Drawing {
    /// `None` where nobody said where the bolts stand, or no place has a number and all are of one size. `done` are the
    /// places that have had the stage in hand.
    pub(super) fn of(
        fasteners: &Fasteners,
        order: &BoltOrder<'_>,
        title: String,
        notes: Vec<String>,
        done: &[String],
    ) -> Option<Self> {
        let layout = fasteners.layout.as_ref()?;
        let sizes = letters(fasteners);
        if order.places.is_empty() && sizes.is_empty() {
            return None;
        }
        let spot = |place: &String| {
            let number = order.places.iter().position(|known| same_name(known, place)).map(|index| index + 1);
            let of_size = sizes.iter().find(|(_, of)| of.places.iter().any(|p| same_name(p, place)));
            Spot {
                place: place.clone(),
                number,
                size: of_size.map(|(letter, _)| *letter),
                done: done.iter().any(|known| same_name(known, place)),
            }
        };
        let row = |row: &crate::sheets::LayoutRow| {
            let spots = row.places.iter().map(|place| (!place.is_empty()).then(|| spot(place)));
            (row.name.clone(), spots.collect())
        };
        let Layout { left, right, rows } = layout;
        let mut notes = notes;
        notes.extend(sizes.iter().map(|(letter, size)| format!("{letter} is {}", size.size)));
        let rows = rows.iter().map(row).collect();
        Some(Self { title, notes, left: left.clone(), right: right.clone(), rows })
    }

    fn columns(&self) -> usize {
        self.rows.iter().map(|(_, spots)| spots.len()).max().unwrap_or(0)
    }

    /// The drawing as a figure.
    pub(super) fn html(&self) -> Markup {
        let (width, height) = ((self.columns() * CELL.0).max(280) + 8, self.rows.len() * CELL.1 + 24);
        let shrinks = (self.columns() <= FITS_A_TELEPHONE).then_some("fits");
        html! {
            figure.bolts {
                figcaption {
                    strong { (self.title) }
                    @for note in &self.notes { br; (note) }
                }
                div.wide {
                    svg class=[shrinks] role="img" aria-label=(self.words()) width=(width) height=(height)
                        viewBox={ "0 0 " (width) " " (height) } fill="currentColor" font-size="14" {
                        @if !self.left.is_empty() { text x="4" y="16" { "\u{2190} " (self.left) } }
                        @if !self.right.is_empty() {
                            text x=(width - 4) y="16" text-anchor="end" { (self.right) " \u{2192}" }
                        }
                        @for (index, (name, spots)) in self.rows.iter().enumerate() {
                            (row(24 + index * CELL.1, name, spots))
                        }
                    }
                }
            }
        }
    }

    /// The same in words, row by row: `plug side: P1 7, P2 6`.
    fn words(&self) -> String {
        let rows = self.rows.iter().map(|(name, spots)| {
            let spots: Vec<String> = spots.iter().flatten().map(Spot::words).collect();
            let head = if name.is_empty() { String::new() } else { format!("{name}: ") };
            format!("{head}{}", spots.join(", "))
        });
        let ends = match (self.left.as_str(), self.right.as_str()) {
            ("", "") => String::new(),
            (left, right) => format!(" (left {left}, right {right})"),
        };
        format!("{}{ends}", rows.collect::<Vec<_>>().join("; "))
    }

    /// For a terminal.
    pub(super) fn text(&self, out: &mut String) {
        out.push_str(&format!("  {}\n", self.title));
        for note in &self.notes {
            out.push_str(&format!("    {note}\n"));
        }
        for line in self.words().split("; ") {
            out.push_str(&format!("    {line}\n"));
        }
    }
}

impl Spot {
    fn label(&self) -> String {
        let size = self.size.map_or_else(String::new, |letter| format!(" {letter}"));
        let done = if self.done { " \u{2713}" } else { "" };
        format!("{}{size}{done}", self.place)
    }

    fn words(&self) -> String {
        let size = self.size.map_or_else(String::new, |letter| format!(" of {letter}"));
        let number = self.number.map_or_else(String::new, |number| format!(" {number}"));
        format!("{}{size}{number}{}", self.place, if self.done { " done" } else { "" })
    }
}

fn row(top: usize, name: &str, spots: &[Option<Spot>]) -> Markup {
    let middle = top + 16 + RADIUS;
    html! {
        text x="4" y=(top + 12) font-size="12" { (name) }
        @for (column, spot) in spots.iter().enumerate() { @if let Some(spot) = spot {
            @let x = 4 + column * CELL.0 + CELL.0 / 2;
            circle cx=(x) cy=(middle) r=(RADIUS) fill="none" stroke="currentColor" stroke-width="2" {}
            @if let Some(number) = spot.number {
                text x=(x) y=(middle + 8) text-anchor="middle" font-size="22" font-weight="700" { (number) }
            }
            text x=(x) y=(middle + RADIUS + 16) text-anchor="middle" { (spot.label()) }
        } }
    }
}

/// A letter for each size of a joint that has several with places.
pub(super) fn letters(fasteners: &Fasteners) -> Vec<(char, &crate::sheets::FastenerSize)> {
    let placed = || fasteners.sizes.iter().filter(|size| !size.places.is_empty());
    if placed().count() < 2 { Vec::new() } else { ('A'..='Z').zip(placed()).collect() }
}

/// Words beside a general order.
fn source(order: &BoltOrder<'_>) -> Option<String> {
    (!order.own).then(|| "A general order, not the maker's: the sheet has none of its own.".to_owned())
}

/// `C3 P3 P4`, or the order in words.
pub(super) fn order_of_bolts(order: &BoltOrder<'_>) -> String {
    // Names of two words are kept apart.
    let between = if order.places.iter().any(|place| place.contains(' ')) { ", " } else { " " };
    let words = if order.places.is_empty() { order.words.clone() } else { order.places.join(between) };
    if order.own { words } else { format!("{words} (a general order, not the maker's)") }
}

/// How a joint is let go: cold, in rounds, and why.
pub(super) fn letting_go(sheet: &Sheet, fasteners: &Fasteners) -> Vec<String> {
    if fasteners.is_pushed_by_springs(sheet) {
        let evenly = "Valve springs push on it: slacken the adjusters, or turn it to where they push least, first. Then all \
            evenly, half a turn each in turn, until nothing pushes any more; never one by one.";
        let note = (!fasteners.note.is_empty()).then(|| format!("The sheet: {}.", fasteners.note));
        return std::iter::once(evenly.to_owned()).chain(note).collect();
    }
    let rounds = if fasteners.loosening_rounds() > 2 {
        "Cold, at room temperature, in three rounds: a quarter turn each, once more round by half a turn, then out."
    } else {
        "Cold, at room temperature, in two rounds: a quarter turn each, then out."
    };
    let backwards = "It is the tightening order backwards. Never let them all go at once: those still tight bend what they hold.";
    let mut notes = vec![rounds.to_owned(), backwards.to_owned()];
    let held = fasteners.holds.iter().filter_map(|part| sheet.parts.get(*part));
    let soft = held.into_iter().find(|part| part.is_aluminium());
    notes.extend(soft.map(|part| {
        format!(
            "The {} is aluminium alloy: it grows about twice as much as iron or steel and gives way sooner. Never let it go while hot: it warps.",
            part.key
        )
    }));
    notes
}

/// The order a joint is let go in, drawn; `None` where only words are known.
pub(super) fn loosening(sheet: &Sheet, fasteners: &Fasteners) -> Option<Drawing> {
    let order = fasteners.loosening();
    let mut notes = letting_go(sheet, fasteners);
    notes.extend(source(&order));
    let title = format!("{}: loosen in this order", named(fasteners));
    Drawing::of(fasteners, &order, title, notes, &[])
}

/// The order a joint is tightened in, drawn with its stages; bolts that have had the next stage are marked.
pub(super) fn tightening(fasteners: &Fasteners, stages: &str, joint: Option<&Joint>) -> Option<Drawing> {
    let order = fasteners.tightening();
    let mut notes = vec![format!("{stages}, {}; the whole order at each stage.", fasteners.lubricant)];
    let next = joint.and_then(|joint| joint.missing(fasteners).into_iter().next());
    let mut done = Vec::new();
    if let Some((stage, open)) = next {
        let all = fasteners.sizes.iter().flat_map(|size| &size.places);
        done = all.filter(|place| !open.contains(place)).cloned().collect();
        let marked = if done.is_empty() { "" } else { "; those with a tick have had it" };
        notes.push(format!("Next: stage {stage}{marked}."));
    }
    notes.extend(source(&order));
    let title = format!("{}: tighten in this order", named(fasteners));
    Drawing::of(fasteners, &order, title, notes, &done)
}

/// `G03 Cylinder head`; the name alone where it says the same.
pub(super) fn named(fasteners: &Fasteners) -> String {
    if same_name(&fasteners.group, &fasteners.name) {
        return fasteners.name.clone();
    }
    format!("{} {}", fasteners.group, fasteners.name)
}

/// Joints with an order that still hold something of the engine that has not come off.
pub(super) fn still_tight(view: &JobView) -> Vec<&Fasteners> {
    let job = &view.job;
    let Some(sheet) = &job.sheet else { return Vec::new() };
    let in_scope = |kind: &&usize| sheet.parts.get(**kind).is_some_and(|part| job.concerns(&part.scopes));
    let still_on = |kind: &usize| {
        let mut lives = job.parts.iter().filter(|((of, _), _)| of == kind);
        lives.any(|(_, life)| !life.is_accounted_for())
    };
    let is_out = |group: &Fasteners| job.bags.get(&fold_name(&group.group)).is_some_and(Bag::is_counted_out);
    let tight = |group: &&Fasteners| {
        let concerned = job.concerns(&group.scopes) && group.has_order();
        concerned && !is_out(group) && group.holds.iter().filter(in_scope).any(still_on)
    };
    sheet.fasteners.iter().filter(tight).collect()
}
