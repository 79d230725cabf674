//! The days of a job: each step from the one before to its signature, each wait of an order or an answer, with what was
//! promised. Only what was recorded; how long something lasts today stands on the board.

use crate::facts::{Body, Day, Step};
use crate::pages::JobView;
use crate::pages::drawings::scale::{Scale, point};
use crate::shop::{Job, Order, Said};
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;
use maud::{Markup, html};
use serde_json::{Value, json};

const WIDTH: f64 = 320.0;
const HEIGHT: f64 = 16.0;
const EDGE: f64 = 4.0;

/// Something that lasted, or lasts.
struct Span {
    /// What it was, or what was waited for.
    what: String,
    from: Moment,
    /// `None` while nobody said that it ended.
    to: Option<Moment>,
    /// When it was wanted.
    due: Option<Date>,
}

#[derive(Clone)]
struct Moment {
    at: Timestamp,
    written: String,
}

impl From<&Said> for Moment {
    fn from(said: &Said) -> Self {
        Self { at: said.at, written: said.written.clone() }
    }
}

/// The job as spans of time on one scale.
struct Days {
    spans: Vec<Span>,
    promised: Option<Date>,
    /// Of the check-in: dates are days there.
    offset: Offset,
    /// Last thing recorded: what is open lasts at least until then.
    last: Timestamp,
}

impl Days {
    /// `None` before the engine is checked in.
    fn of(job: &Job) -> Option<Self> {
        let check_in = job.statements().iter().find(|fact| matches!(fact.body, Body::CheckIn(_)))?;
        let recorded = &check_in.head.recorded;
        let came = Moment { at: recorded.instant(), written: recorded.short() };
        let promised = job.check_in.as_ref().and_then(|check_in| check_in.promised.as_ref()?.parse().ok());
        let last = job.last_recorded.unwrap_or(came.at).max(came.at);
        let mut spans = steps(job, came);
        spans.extend(job.orders.values().map(order));
        spans.extend(answers(job));
        Some(Self { spans, promised, offset: recorded.offset(), last })
    }

    /// Midday of a day.
    fn noon(&self, day: Date) -> Option<Timestamp> {
        self.offset.to_timestamp(day.at(12, 0, 0, 0)).ok()
    }

    fn scale(&self) -> Option<Scale> {
        let dues = self.spans.iter().filter_map(|span| span.due).chain(self.promised);
        let dues = dues.filter_map(|day| self.noon(day));
        let ends = self
            .spans
            .iter()
            .flat_map(|span| [Some(span.from.at), span.to.as_ref().map(|to| to.at)])
            .flatten();
        Scale::over(
            dues.chain(ends).chain([self.last]).map(Timestamp::as_millisecond).map(millis),
            (EDGE, WIDTH - EDGE),
        )
    }

    /// A bar, open at its end while it lasts; a tick where it was wanted; the promised day dashed through all of them.
    fn bar(&self, span: &Span, scale: &Scale) -> Markup {
        let at = |moment: Timestamp| scale.at(millis(moment.as_millisecond()));
        let (from, to) = (at(span.from.at), at(span.to.as_ref().map_or(self.last, |to| to.at)));
        let upright = |day: Option<Date>| day.and_then(|day| self.noon(day)).map(at);
        let middle = HEIGHT / 2.0;
        html! {
            svg.fits role="img" aria-label=(span.words()) width=(WIDTH) height=(HEIGHT) viewBox={ "0 0 " (WIDTH) " " (HEIGHT) }
                fill="none" stroke="currentColor" {
                line x1=(EDGE) x2=(WIDTH - EDGE) y1=(middle) y2=(middle) stroke-opacity="0.3" {}
                line x1=(point(from)) x2=(point(to.max(from + 2.0).min(WIDTH))) y1=(middle) y2=(middle) stroke-width="6"
                    stroke-dasharray=[span.to.is_none().then_some("4 2")] {}
                @if let Some(x) = upright(span.due) { line x1=(point(x)) x2=(point(x)) y1="1" y2=(HEIGHT - 1.0) stroke-width="2" {} }
                @if let Some(x) = upright(self.promised) { line x1=(point(x)) x2=(point(x)) y1="0" y2=(HEIGHT) stroke-dasharray="2 2" {} }
            }
        }
    }
}

impl Span {
    fn until(&self) -> &str {
        self.to.as_ref().map_or("goes on", |to| &to.written)
    }

    fn words(&self) -> String {
        let due = self.due.map_or_else(String::new, |due| format!(", wanted {due}"));
        format!("{}: {} to {}{due}", self.what, self.from.written, self.until())
    }
}

/// Milliseconds of a drawing's scale.
#[expect(clippy::cast_precision_loss, reason = "a drawing needs no milliseconds")]
const fn millis(at: i64) -> f64 {
    at as f64
}

/// From the check-in, each up to its signature; the one that follows the last signature goes on.
fn steps(job: &Job, came: Moment) -> Vec<Span> {
    const IN_ORDER: [(Step, &str); 6] = [
        (Step::Teardown, "teardown"),
        (Step::Inspection, "inspection"),
        (Step::Machining, "machining"),
        (Step::Reassembly, "reassembly"),
        (Step::Engine, "first start and checks"),
        (Step::Delivered, "hand-over"),
    ];
    let mut from = came;
    let mut spans = Vec::new();
    for (step, what) in IN_ORDER {
        let signed = job.signed.get(&step);
        let later = IN_ORDER.iter().skip_while(|(known, _)| *known != step).skip(1);
        if signed.is_none() && later.clone().any(|(later, _)| job.signed.contains_key(later)) {
            continue;
        }
        let to =
            signed.map(|signed| Moment { at: signed.recorded.max(from.at), written: signed.written.clone() });
        spans.push(Span { what: what.to_owned(), from: from.clone(), to: to.clone(), due: None });
        let Some(to) = to else { break };
        from = to;
    }
    spans
}

fn order(order: &Order) -> Span {
    let back = order.backs.last().filter(|_| !order.is_out());
    Span {
        what: format!("order {}: {}, {}", order.number, order.out.operation, order.out.to),
        from: Moment::from(&order.said),
        to: back.map(|back| Moment::from(&back.said)),
        due: Some(order.out.due.0),
    }
}

/// Estimates until their answer.
fn answers(job: &Job) -> Vec<Span> {
    let spans = job.books.estimates.iter().map(|estimate| {
        let answer = job.books.approvals.iter().find(|answer| answer.estimate == Some(estimate.said.fact));
        let Day(expires) = estimate.estimate.expires;
        let option = if estimate.estimate.option.is_empty() { "" } else { ", " };
        Span {
            what: format!("answer to the estimate{option}{}", estimate.estimate.option),
            from: Moment::from(&estimate.said),
            to: answer.map(|answer| Moment::from(&answer.said)),
            due: answer.is_none().then_some(expires),
        }
    });
    spans.collect()
}

/// The section of days; nothing before the engine is checked in.
pub(in crate::pages) fn days_of_job(view: &JobView) -> Markup {
    let Some(days) = Days::of(&view.job) else { return html! {} };
    let Some(scale) = days.scale() else { return html! {} };
    html! { section id="days" {
        h2 { "Days of the job" }
        p.quiet {
            "A bar is dashed while it lasts, up to the last thing that was recorded; its tick is the day it is wanted."
            @if let Some(promised) = days.promised { " The dashed upright is the promised day, " (promised) "." }
        }
        div.wide { table.rows {
            thead { tr { th { "What" } th { "From" } th { "To" } th { "Wanted" } th { "Drawn" } } }
            tbody { @for span in &days.spans { tr {
                td { (span.what) }
                td.number { span.label { "From: " } (span.from.written) }
                td.number { span.label { "To: " } (span.until()) }
                @if let Some(due) = span.due { td.number { span.label { "Wanted: " } (due) } } @else { td.none {} }
                td { (days.bar(span, &scale)) }
            } } }
        } }
    } }
}

/// The same for programs.
pub(in crate::pages) fn days_json(view: &JobView) -> Vec<Value> {
    let spans = Days::of(&view.job).map_or_else(Vec::new, |days| days.spans);
    let json = |span: &Span| {
        json!({
            "what": span.what, "from": span.from.written, "to": span.to.as_ref().map(|to| &to.written),
            "wanted": span.due.map(|due| due.to_string()),
        })
    };
    spans.iter().map(json).collect()
}
