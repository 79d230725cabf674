//! What a feature can measure at all.
//!
//! A diameter lies between its smallest and largest limit at any size, and two percent. Of what is no diameter the
//! limits say how far it may go, and it may be worn some way past that: twice the width of its limits is
//! allowed. Beyond, a reading is asked about where a slip explains it; that nothing can be that size is said only
//! of what hardly varies (a deck height), and of a negative reading of what cannot be negative.

use crate::metrology::{Exact, Unit};
use crate::sheets::{Characteristic, Feature, Limits, Row, Shape};

pub(super) struct Reach {
    low: Exact,
    high: Exact,
    /// Where a meant value lies: for what is no diameter, inside the limits.
    likely: (Exact, Exact),
    /// From smallest to largest new, of what is no diameter.
    new: Option<(Exact, Exact)>,
    /// Its limits are of a lift, its readings partly the nose and the base circle.
    of_lift: bool,
    /// Out of it nothing of the feature can be.
    sure: bool,
    /// It can lie below its datum.
    signed: bool,
    /// The unit all this is in.
    unit: Unit,
}

impl Reach {
    /// `None` where the sheet has no limit to go by, and where readings are parts of a value.
    pub(super) fn of(feature: &Feature) -> Option<Self> {
        match feature.shape {
            Shape::Shaft | Shape::Bore | Shape::Wall => Self::of_diameter(feature),
            Shape::Grows | Shape::Shrinks | Shape::Either => Self::of_value(feature),
        }
    }

    fn of_diameter(feature: &Feature) -> Option<Self> {
        let steps = feature.sizes.iter().flat_map(|series| series.select_fit.iter().chain(&series.steps));
        let sizes = std::iter::once(None).chain(steps.copied().map(Some));
        let limits: Vec<Limits> = sizes.filter_map(|step| feature.new_limits(step)).collect();
        let low = limits.iter().filter_map(|l| l.min).min()?;
        let high = limits.iter().filter_map(|l| l.max).max()?;
        let (low, high) = (low.part(98, 100), high.part(102, 100));
        Some(Self {
            low,
            high,
            likely: (low, high),
            new: None,
            of_lift: false,
            sure: true,
            signed: false,
            unit: feature.unit,
        })
    }

    /// A spread, a total, a form and half a swing are worked out, not read: their limits say nothing here.
    fn of_value(feature: &Feature) -> Option<Self> {
        let halved = feature.row(Characteristic::RunOut).is_some();
        let is_read = |row: &Row| {
            let bend = row.characteristic == Characteristic::Bend;
            !(row.characteristic.is_worked_out() || bend && halved)
        };
        let of_lift = feature.row(Characteristic::Lift).is_some() && feature.directions.len() > 1;
        let two = [Characteristic::Ratio, Characteristic::TopDeadCentre];
        let by_two = two.into_iter().any(|of| feature.row(of).is_some());
        let by_parts = by_two || feature.worked.is_by_parts();
        // So are heights over an arbitrary datum.
        if by_parts || feature.vee.is_some() || !feature.points.is_empty() {
            return None;
        }
        let rows = || feature.rows.iter().filter(|row| is_read(row));
        let bounds: Vec<Exact> = rows()
            .flat_map(|row| [row.new, row.service, row.after_work].into_iter().flatten())
            .flat_map(|limits| [limits.min, limits.max])
            .chain(rows().map(|row| row.nominal))
            .flatten()
            .collect();
        let (most, least) = (*bounds.iter().max()?, *bounds.iter().min()?);
        let columns = |row: &Row| [row.new, row.service, row.after_work].into_iter().flatten();
        let is_open =
            rows().all(|row| row.nominal.is_none() && columns(row).all(|limits| limits.max.is_none()));
        if is_open && !of_lift && least > Exact::ZERO {
            return Some(Self::upward(least, most, feature));
        }
        let bounded = rows().any(|row| row.new.is_some_and(|new| new.min.is_some()) || row.nominal.is_some());
        let least = if bounded { least } else { least.min(Exact::ZERO) };
        let width = most - least;
        let slack = (width * 2).max(most.abs().part(2, 100));
        // What varies by less than a tenth of itself is a size like any other.
        let sure = width * 10 <= least;
        let low = least - slack;
        // A tenth of the least is rather the point in the wrong place than a part of another make.
        let low = if least > Exact::ZERO { low.max(least.part(1, 4)) } else { low };
        let signed = least.is_negative()
            || rows().any(|row| {
                matches!(
                    row.characteristic,
                    Characteristic::Protrusion | Characteristic::Depth | Characteristic::Height
                )
            });
        let new: Vec<Exact> = rows()
            .flat_map(|row| [row.new.and_then(|new| new.min), row.new.and_then(|new| new.max), row.nominal])
            .flatten()
            .collect();
        // Only the largest is new: from nothing. Only reuse has a limit: new is in the better half of what it allows.
        let (smallest, largest) = (new.iter().min().copied(), new.iter().max().copied());
        let smallest = smallest.filter(|_| bounded).unwrap_or(least);
        let new = Some((smallest, largest.unwrap_or_else(|| smallest + (most - least).part(1, 2))));
        let (likely, unit) = ((least, most), feature.unit);
        Some(Self { low, high: most + slack, likely, new, of_lift, sure, signed, unit })
    }

    /// Of what has only a smallest (a compression, a margin) an honest value may be anything above it. Up to twice that is
    /// what it usually is, and what a slip is set right to; from four times it a slip is looked for, and only asked about
    /// where one is found (common practice).
    fn upward(least: Exact, most: Exact, feature: &Feature) -> Self {
        let likely = (least, most * 2);
        let (low, high) = (least.part(1, 4), most * 4);
        Self { low, high, likely, new: None, of_lift: false, sure: false, signed: false, unit: feature.unit }
    }

    pub(super) fn holds(&self, value: Exact) -> bool {
        self.low <= value && value <= self.high && (self.signed || !value.is_negative())
    }

    /// Smallest and largest new; of diameters none.
    pub(super) const fn as_new(&self) -> Option<(Exact, Exact)> {
        self.new
    }

    /// Are some of its readings parts of what its limits are of?
    pub(super) const fn is_by_parts(&self) -> bool {
        self.of_lift
    }

    /// The outermost limits.
    pub(super) const fn limits(&self) -> (Exact, Exact) {
        self.likely
    }

    /// Below it nothing of the feature is.
    pub(super) const fn low(&self) -> Exact {
        self.low
    }

    /// What lies between its limits.
    pub(super) fn width(&self) -> Exact {
        self.likely.1 - self.likely.0
    }

    /// A size like a deck height, whose limits leave less than a tenth of it.
    pub(super) const fn hardly_varies(&self) -> bool {
        self.sure
    }

    /// Outside of all its limits by more than what lies between them.
    pub(super) fn strays(&self, value: Exact) -> bool {
        let width = self.width();
        value < self.likely.0 - width || self.likely.1 + width < value
    }

    /// The whole inches or millimetres that a likely value has before its decimal point.
    pub(super) fn wholes(&self, unit: Unit) -> impl Iterator<Item = i64> {
        let whole = |value: Exact| (value.to_mm() / unit.scale()).trunc().max(0.0);
        #[expect(clippy::cast_possible_truncation, reason = "limits have at most five whole digits")]
        let (least, most) = (whole(self.likely.0) as i64, whole(self.likely.1) as i64);
        least..=most
    }

    /// Could this have been meant?
    pub(super) fn is_likely(&self, value: Exact) -> bool {
        self.likely.0 <= value && value <= self.likely.1
    }

    /// Nothing of this feature can be that, slip or no slip.
    pub(super) fn is_sure(&self, value: Exact) -> bool {
        self.sure || (value.is_negative() && !self.signed)
    }

    /// The unit a meant value is shown in: as it was written, where that is on one grid with the limits.
    pub(super) fn shown_in(&self, written: Unit) -> Unit {
        if self.unit.is_length() { written } else { self.unit }
    }

    /// A value written in this unit, on the grid of the limits.
    pub(super) fn brought(&self, value: Exact, written: Unit) -> Option<Exact> {
        written.bring(value, self.unit)
    }
}
