//! What a value that is not read itself is worked out from: stations on a heel, events of a lobe, the height a load is
//! read at, the features and places it is held against.

use crate::metrology::Exact;

/// Of one feature; nothing for most.
#[derive(Clone, Debug, Default)]
pub struct Worked {
    /// Stations of a turn that lie on the heel of the lobe.
    pub heel: Vec<usize>,
    /// Which valve's events are read, and which of them.
    pub timing: Option<Timing>,
    /// The height the loads are read at.
    pub at_height: Option<Exact>,
    /// Index of the feature with the load at another height.
    pub rate_with: Option<usize>,
    /// Stations that lie nearest to each other: of one position, and of the next.
    pub next: Vec<(usize, usize)>,
    /// Index of the feature with the clock angles of what swings here.
    pub clock: Option<usize>,
    /// Index of the pair in which a gauging strip is laid.
    pub strip_of: Option<usize>,
}

/// Angles of a degree wheel, read at one rise or at two equal ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Timing {
    /// Whose lobe.
    pub valve: LobeOf,
    /// What the two directions are.
    pub read: Events,
}

/// Whose lobe it is; it says from which dead centre angles count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LobeOf {
    /// Opens before top and closes after bottom dead centre; its centreline lies after top.
    Intake,
    /// Opens before bottom and closes after top dead centre; its centreline lies before top.
    Exhaust,
}

/// What is read on the wheel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Events {
    /// Opening and closing, degrees before and after their dead centres.
    OpeningAndClosing,
    /// Two places of equal lift on both sides of the nose, degrees on the side of top dead centre of its centreline.
    EqualLifts,
}

impl Worked {
    /// Are its readings parts of a value, so that no limit says what one of them may be?
    #[must_use]
    pub const fn is_by_parts(&self) -> bool {
        !self.heel.is_empty() || self.timing.is_some()
    }
}
