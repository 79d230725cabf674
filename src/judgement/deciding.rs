//! Which limits decide: service for a part as found, new or after-work otherwise.

use crate::facts::{PartState, SizeWord};
use crate::judgement::judged::Band;
use crate::metrology::Exact;
use crate::sheets::{Characteristic, Column, Feature, Limits, Row, Side};
use crate::shop::{Condition, Surface};

/// The limits of one row at one size in one condition.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deciding {
    /// The column the deciding limit stands in.
    pub column: Column,
    /// Both sides: the column's, and the new limit where the column names one side only.
    pub limits: Limits,
    /// The sides that need proof: those the column names.
    pub proof: Limits,
    /// New limits at this size, for the band and for information.
    pub new: Option<Limits>,
}

impl Deciding {
    /// For a row of a feature. `None` where the sheet has no limit for it.
    pub(super) fn of(feature: &Feature, row: &Row, surface: &Surface, at: &Situation) -> Option<Self> {
        let step = at.basis.and_then(SizeWord::step);
        let sized = row.characteristic == Characteristic::Size;
        let new = if sized { feature.new_limits(step) } else { row.new };
        let service =
            row.service.map(|limits| if sized { limits.moved(feature.shift(step)) } else { limits });
        let used = !(surface.state == Some(PartState::New) && at.instance == surface.instance);
        let as_found = match at.condition {
            Condition::AsReceived | Condition::Cleaned => used,
            // Work that leaves the size class (a polish) makes no new surface: reuse limits still hold.
            Condition::AfterWork(_) => used && !at.resized && row.after_work.is_none(),
            Condition::AtAssembly(_) => false,
        };
        let worked = at.condition.operations() > 0;
        match (row.after_work, service, new) {
            (Some(after), _, _) if worked => {
                Some(Self { column: Column::AfterWork, limits: after, proof: after, new })
            }
            (_, Some(service), Some(new)) if as_found => Some(Self {
                column: Column::Service,
                limits: service.completed_by(&new),
                proof: service,
                new: Some(new),
            }),
            // Where the sheet has nothing for a new one, what may be reused is all there is to hold it to.
            (_, Some(service), None) => {
                Some(Self { column: Column::Service, limits: service, proof: service, new: None })
            }
            (_, _, Some(new)) => Some(Self { column: Column::New, limits: new, proof: new, new: Some(new) }),
            (_, None, None) => None,
        }
    }

    /// The band of a value, by number.
    #[must_use]
    pub fn band(&self, value: Exact) -> Band {
        if self.new.is_some_and(|new| new.outside(value).is_none()) && self.limits.outside(value).is_none() {
            return Band::New;
        }
        match self.limits.outside(value) {
            None => Band::Serviceable,
            Some(side) => Band::Beyond(side),
        }
    }

    /// The bound on this side.
    #[must_use]
    pub fn bound(&self, side: Side) -> Option<Exact> {
        match side {
            Side::Below => self.limits.min,
            Side::Above => self.limits.max,
        }
    }
}

/// The situation a set of readings was taken in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Situation {
    pub(super) instance: usize,
    pub(super) condition: Condition,
    pub(super) basis: Option<SizeWord>,
    /// An operation on this instance changed the size class before.
    pub(super) resized: bool,
}
