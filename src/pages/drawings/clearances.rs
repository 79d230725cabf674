//! Clearances of a pair position by position on one scale: from the tightest to the loosest, with U, against the limits.

use crate::judgement::{Judged, Verdict};
use crate::metrology::Exact;
use crate::pages::JobView;
use crate::pages::drawings::marks::mark;
use crate::pages::drawings::scale::{Scale, point, spread};
use crate::pages::drawings::{Figure, Panel};
use crate::sheets::Characteristic;
use maud::{Markup, html};

const HEIGHT: f64 = 104.0;
/// Width of a position, room above and below, and for the name below.
const COLUMN: f64 = 30.0;
const EDGE: f64 = 8.0;
const FOOT: f64 = 16.0;
/// So many letters fit below a column.
const MOST_LETTERS: usize = 4;

/// One figure with a drawing for each pair of the sheet that has clearances at several positions.
pub(super) fn clearances(view: &JobView) -> Option<Figure> {
    let mut groups: Vec<Vec<(&Verdict, &Judged)>> = Vec::new();
    for verdict in view.judgement.standing() {
        let is_pair =
            matches!(verdict.key.characteristic, Characteristic::Clearance | Characteristic::Interference);
        let Some(judged) = verdict.judged.as_ref().filter(|judged| is_pair && judged.deciding.is_some())
        else {
            continue;
        };
        let alike = |of: &&mut Vec<(&Verdict, &Judged)>| {
            of.first().is_some_and(|(first, _)| {
                (
                    &first.feature,
                    first.key.characteristic,
                    first.key.condition.is_at_assembly(),
                    first.key.row,
                ) == (
                    &verdict.feature,
                    verdict.key.characteristic,
                    verdict.key.condition.is_at_assembly(),
                    verdict.key.row,
                )
            })
        };
        match groups.iter_mut().find(alike) {
            Some(group) => group.push((verdict, judged)),
            None => groups.push(vec![(verdict, judged)]),
        }
    }
    let panels: Vec<Panel> =
        groups.iter().filter(|group| group.len() > 1).filter_map(|group| panel(view, group)).collect();
    let note = "Bars go from the tightest to the loosest, the mark is the end that decides, the thin line its U. Each pair has \
        its own scale.";
    let title = "Clearances".to_owned();
    (!panels.is_empty()).then(|| Figure { title, notes: vec![note.to_owned()], panels })
}

fn panel(view: &JobView, group: &[(&Verdict, &Judged)]) -> Option<Panel> {
    let (first, _) = group.first()?;
    let (unit, key) = (first.unit, &first.key);
    let scale = Scale::over(group.iter().flat_map(|(_, judged)| held(judged)), (HEIGHT - FOOT - EDGE, EDGE))?;
    #[expect(clippy::cast_precision_loss, reason = "a handful of positions")]
    let width = COLUMN * group.len() as f64;
    let words: Vec<String> = group
        .iter()
        .map(|(verdict, judged)| {
            let other =
                judged.other.map_or_else(String::new, |other| format!(" (other end {})", other.show(unit)));
            format!(
                "{} {}{other}, limit {}",
                verdict.name,
                judged.value_words(unit),
                judged.limit_words(unit)
            )
        })
        .collect();
    let drawing = html! {
        svg.fits role="img" aria-label=(words.join("; ")) width=(width) height=(HEIGHT) viewBox={ "0 0 " (width) " " (HEIGHT) }
            fill="none" stroke="currentColor" {
            @for (index, (verdict, judged)) in group.iter().enumerate() {
                (column(judged, &scale, spread(index, group.len(), 0.0, width)))
                text x=(point(spread(index, group.len(), 0.0, width))) y=(HEIGHT - 3.0) font-size="11" text-anchor="middle"
                    fill="currentColor" stroke="none" { (position(view, verdict)) }
            }
        }
    };
    let beyond = group.iter().any(|(verdict, _)| verdict.is_beyond());
    let when = if key.condition.is_at_assembly() { "at assembly".to_owned() } else { key.condition.word() };
    let caption = format!("{}, {when}: {}", first.feature, range(group));
    Some(Panel { drawings: vec![drawing], caption, beyond })
}

/// `0.00185 to 0.00195 in`.
fn range(group: &[(&Verdict, &Judged)]) -> String {
    let unit = group.first().map(|(verdict, _)| verdict.unit);
    let ends = || group.iter().flat_map(|(_, judged)| [Some(judged.value), judged.other]).flatten();
    match (unit, ends().min(), ends().max()) {
        (Some(unit), Some(least), Some(most)) => {
            format!("{} to {} {}", least.show(unit), most.show(unit), unit.symbol())
        }
        _ => String::new(),
    }
}

/// The position; of one of several words their initials: `1i` of `1 intake`.
fn position(view: &JobView, verdict: &Verdict) -> String {
    let feature = view.job.feature(verdict.key.surface);
    let position = feature.and_then(|feature| feature.positions.get(verdict.key.surface.position));
    position.map_or_else(String::new, |position| {
        if position.chars().count() <= MOST_LETTERS {
            return position.clone();
        }
        let initials = position.split_whitespace().filter_map(|word| word.chars().next());
        initials.take(MOST_LETTERS).collect()
    })
}

/// Everything of one position that the scale must hold.
fn held(judged: &Judged) -> impl Iterator<Item = f64> {
    let (value, u) = (judged.value.to_mm(), 2.0 * judged.u.unwrap_or(0.0));
    let deciding =
        judged.deciding.into_iter().flat_map(|deciding| [Some(deciding.limits), deciding.new]).flatten();
    let bounds = deciding.flat_map(|limits| [limits.min, limits.max]).chain([judged.other]).flatten();
    [value - u, value + u].into_iter().chain(bounds.map(Exact::to_mm))
}

fn column(judged: &Judged, scale: &Scale, x: f64) -> Markup {
    let (value, u) = (judged.value.to_mm(), 2.0 * judged.u.unwrap_or(0.0));
    let other = judged.other.map_or(value, Exact::to_mm);
    let limits = judged.deciding.map(|deciding| deciding.limits);
    let new = judged.deciding.and_then(|deciding| deciding.new.filter(|new| *new != deciding.limits));
    let bounds = |of: Option<crate::sheets::Limits>| {
        of.into_iter().flat_map(|limits| [limits.min, limits.max]).flatten()
    };
    let beyond = matches!(judged.band, crate::judgement::Band::Beyond(_));
    html! {
        @for bound in bounds(limits) { (level(x, scale.at(bound.to_mm()), None)) }
        @for bound in bounds(new) { (level(x, scale.at(bound.to_mm()), Some("2 3"))) }
        line x1=(point(x)) x2=(point(x)) y1=(point(scale.at(value - u))) y2=(point(scale.at(value + u))) {}
        line x1=(point(x)) x2=(point(x)) y1=(point(scale.at(value))) y2=(point(scale.at(other))) stroke-width="5" {}
        (mark(x, scale.at(value), 0, beyond))
    }
}

fn level(x: f64, y: f64, dashes: Option<&str>) -> Markup {
    let half = COLUMN * 0.42;
    html! { line x1=(point(x - half)) x2=(point(x + half)) y1=(point(y)) y2=(point(y)) stroke-width="1.5" stroke-dasharray=[dashes] {} }
}
