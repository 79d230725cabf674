//! Removed: everything ever taken off, against the total the sheet allows.
//!
//! A running total of what operations and returned orders on the surface say they took off the part that is
//! there now. What is left (`thickness`, `height`) is a row of its own, and both must hold. Work that does not
//! say what it took off is missing, not nought.

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Judged, Note, PlaceShown, proof};
use crate::judgement::plain::{Counts, Plain};
use crate::metrology::Exact;
use crate::sheets::{Column, Row};
use crate::shop::Surface;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too little removed",
    above: "too much removed",
    rule: "sum of what every operation and returned order took off",
    source: "common practice: thickness left and total ever removed must both hold",
};

/// The total of the part that is there now; `None` where nothing says it took anything off.
pub(in crate::judgement) fn judge(row: &Row, surface: &Surface, level: f64) -> Option<Judged> {
    let limits = row.after_work?;
    let places: Vec<PlaceShown> = surface
        .done_now()
        .filter_map(|done| Some(PlaceShown { name: done.operation.clone(), value: done.removed? }))
        .collect();
    let value = places.iter().map(|place| place.value).reduce(|sum, more| sum + more)?;
    let deciding = Deciding { column: Column::AfterWork, limits, proof: limits, new: None };
    let band = deciding.band(value);
    Some(Judged {
        value,
        other: None,
        deciding: Some(deciding),
        band,
        probability: None,
        proof: proof(band, None, level),
        u: None,
        rests: Vec::new(),
        places,
        readings: Vec::new(),
        gauges: Vec::new(),
        corrected: false,
        rule: PLAIN.rule,
        source: PLAIN.source,
        notes: if limits.max == Some(value) && value > Exact::ZERO {
            vec![Note::OnLimit]
        } else {
            Vec::new()
        },
    })
}

/// What was done without saying what it took off.
pub(in crate::judgement) fn unsaid(surface: &Surface) -> Vec<String> {
    let silent = surface.done_now().filter(|done| done.removed.is_none());
    silent.map(|done| format!("what {} took off", done.operation)).collect()
}
