//! The shop's gauges, what rests on those that are bad or overdue (every engine, reading and verdict), and what studies
//! found of them.

use crate::facts::Recorded;
use crate::pages::BoardRow;
use crate::pages::frame::page;
use crate::pages::row_parts::RowDoubt;
use crate::pages::section::{Cell, Section, Table};
use crate::pages::studies::{studies, studies_json};
use crate::shop::{GaugeNow, StudyNow};
use jiff::civil::Date;
use maud::html;
use serde_json::{Value, json};
use std::sync::Arc;

/// What the page of the gauges shows.
#[derive(Clone, Debug)]
pub struct Gauges {
    /// Every gauge as it stands.
    pub gauges: Vec<GaugeNow>,
    /// What studies found of them.
    pub studies: Vec<StudyNow>,
    /// Every engine.
    pub rows: Vec<Arc<BoardRow>>,
    /// The day it is for, in the shop's zone.
    pub today: Date,
}

impl Gauges {
    /// What of these engines is in doubt because of this gauge.
    fn doubts<'a>(&'a self, gauge: &'a GaugeNow) -> impl Iterator<Item = (&'a BoardRow, &'a RowDoubt)> {
        self.rows.iter().flat_map(move |row| {
            row.doubts.iter().filter(|doubt| doubt.gauge == gauge.mark).map(move |doubt| (&**row, doubt))
        })
    }
}

/// The page of the gauges.
#[must_use]
pub fn gauges(all: &Gauges) -> String {
    let parts = sections(all);
    page("Gauges", "", &html! { @for part in &parts { (part.html(false)) } })
}

/// The same for a terminal.
#[must_use]
pub fn gauges_text(all: &Gauges) -> String {
    let mut out = String::new();
    for part in sections(all) {
        part.text(true, &mut out);
    }
    out
}

/// The same for programs: `{"gauges": [{"gauge", "instrument", "set-by", "due", "overdue", "bad", "in-doubt"}], "studies"}`.
#[must_use]
pub fn gauges_json(all: &Gauges) -> Value {
    let doubt = |(row, doubt): (&BoardRow, &RowDoubt)| {
        json!({
            "job": row.job, "flag": doubt.flag, "why": doubt.why, "readings": doubt.readings,
            "verdicts": doubt.verdicts,
        })
    };
    let one = |gauge: &GaugeNow| {
        json!({
            "gauge": gauge.mark, "instrument": gauge.instrument, "set-by": gauge.set_by, "due": gauge.due,
            "overdue": gauge.is_overdue(all.today), "bad": gauge.bad.as_ref().map(|(since, _)| since),
            "in-doubt": all.doubts(gauge).map(doubt).collect::<Vec<_>>(),
        })
    };
    json!({
        "gauges": all.gauges.iter().map(one).collect::<Vec<_>>(),
        "studies": studies_json(&all.studies),
    })
}

fn sections(all: &Gauges) -> [Section; 3] {
    [every(all), in_doubt(all), studies(&all.studies)]
}

fn every(all: &Gauges) -> Section {
    let mut section = Section::new("gauges", "Every gauge");
    let mut table = Table::of("", &["Gauge", "State", "Due", "Set from"]);
    for gauge in &all.gauges {
        let state = match &gauge.bad {
            Some((since, why)) => Cell::strong(format!("bad since {}: {why}", minute(since))),
            None if gauge.is_overdue(all.today) => Cell::strong("overdue"),
            None if gauge.due.is_some() => "in calibration".into(),
            None => "no certificate".into(),
        };
        table.row(vec![
            format!("{}, {}", gauge.mark, gauge.instrument).into(),
            state,
            gauge.due.map_or_else(String::new, |due| due.to_string()).into(),
            gauge.set_by.clone().unwrap_or_default().into(),
        ]);
    }
    section.table(table);
    section
}

/// A time as people read it.
fn minute(written: &str) -> String {
    Recorded::parse(written).map_or_else(|| written.to_owned(), |at| at.short())
}

fn in_doubt(all: &Gauges) -> Section {
    let mut section = Section::new("in-doubt", "In doubt because of their gauge");
    let mut table = Table::of("", &["Engine", "Gauge", "Readings", "Verdicts that rest on them"]);
    for gauge in &all.gauges {
        for (row, doubt) in all.doubts(gauge) {
            table.row(vec![
                Cell::link(
                    format!("{}, {}", row.written, row.customer),
                    format!("jobs/{}.html#doubts", row.page),
                ),
                format!("{}: {}", doubt.gauge, doubt.why).into(),
                doubt.readings.join("\n").into(),
                doubt.verdicts.join("\n").into(),
            ]);
        }
    }
    section.table(table);
    section
}
