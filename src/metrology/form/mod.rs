//! Form: how far a surface is from flat, a line from straight, a turn from round.
//!
//! Two references are fitted to the same heights, and both are given, since they answer differently: *least squares*
//! (the mean surface, ISO 12781-1, 12780-1, 12181-1, recalled) and the *minimum zone* (the two parallel surfaces
//! nearest to each other that hold every point). The minimum zone is never the wider one.
//!
//! Heights come in as exact values and are taken as differences from the first, exactly, before they become doubles.
//! Distances are along the indicator, not square to a tilted surface: at a tilt of 1 mm in a metre that is 5 parts in
//! ten million more. From there on a width is off by less than [`ERROR_SHARE`] of the range of the heights given; the
//! minimum zone comes with its own proof, [`Form::least`], below which no zone can be.
//!
//! At most [`MOST_POINTS`] points are taken. The cost is a pass over the points for each exchange of the zone's search,
//! some tens at most: measured without optimisation, 6 ms for a surface of a thousand points and 60 ms for ten
//! thousand. Points that hardly fix a shape are refused ([`FormFault::NoShape`]): all in one line but for
//! a ten-thousandth of its length, or on an arc of a few degrees.
//!
//! This folder does not judge, knows no limits, and says nothing of how sure a height is.

mod fault;
pub mod flatness;
pub mod roundness;
mod solve;
mod squares;
pub mod straightness;
pub mod swing;
pub mod vee;
mod zone;

pub use fault::FormFault;

use crate::metrology::form::squares::Basis;
use crate::metrology::length::Exact;
use crate::metrology::statistics::from_first;

/// The most points of one surface, line or turn.
pub const MOST_POINTS: usize = 10_000;

/// The error of a width (largest less smallest deviation) over the range of the heights it comes from, at the points
/// that fix their shape worst; for most a hundred times less.
pub const ERROR_SHARE: f64 = 1e-11;

/// One reference surface and what the points are from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Reference<S> {
    /// The plane, line or circle.
    pub shape: S,
    /// Height of each point over it in the order given, millimetres.
    pub deviations: Vec<f64>,
}

impl<S> Reference<S> {
    /// Highest less lowest deviation, millimetres: the flatness, straightness or roundness by this reference.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.highest() - self.lowest()
    }

    /// The highest deviation, millimetres.
    #[must_use]
    pub fn highest(&self) -> f64 {
        self.deviations.iter().copied().fold(f64::NEG_INFINITY, f64::max)
    }

    /// The lowest deviation, millimetres.
    #[must_use]
    pub fn lowest(&self) -> f64 {
        self.deviations.iter().copied().fold(f64::INFINITY, f64::min)
    }
}

/// Both references of one set of points.
#[derive(Clone, Debug, PartialEq)]
pub struct Form<S> {
    /// The mean surface.
    pub least_squares: Reference<S>,
    /// The surface midway in the narrowest zone that holds every point.
    pub minimum: Reference<S>,
    /// Proof of that zone, millimetres: some of the points (four of a surface or turn, three of a line) fit in no
    /// zone narrower than this. It equals the width of `minimum` but for rounding, and the true minimum zone lies
    /// between the two.
    pub least: f64,
}

/// Refuses a number of points that shows nothing, or that nobody measures.
const fn counted(are: usize, needed: usize) -> Result<(), FormFault> {
    if are < needed {
        return Err(FormFault::TooFew { are, needed });
    }
    if are > MOST_POINTS {
        return Err(FormFault::TooMany { are });
    }
    Ok(())
}

/// Fits both references. `rows` holds what the coefficients of a shape are multiplied by at each point; `shape` makes the shape from coefficients for heights over the first.
fn fit<S, const D: usize>(
    rows: &[[f64; D]],
    heights: &[Exact],
    shape: impl Fn([f64; D]) -> S,
) -> Result<Form<S>, FormFault> {
    let heights = from_first(heights);
    let basis = Basis::of(rows).ok_or(FormFault::NoShape)?;
    let mean = basis.fit(&heights);
    let rest = squares::left(&basis.rows, &heights, &mean);
    // The zone is sought in what the mean surface leaves, where its digits are.
    let narrowest = zone::narrowest(&basis.rows, &rest).ok_or(FormFault::NoShape)?;
    let change = narrowest.coefficients;
    let mut middle = mean;
    middle.iter_mut().zip(change).for_each(|(coefficient, change)| *coefficient += change);
    let shape = |coefficients| shape(basis.of_shape(&coefficients));
    let minimum = Reference { shape: shape(middle), deviations: squares::left(&basis.rows, &rest, &change) };
    let least_squares = Reference { shape: shape(mean), deviations: rest };
    Ok(Form { least_squares, minimum, least: 2.0 * narrowest.half })
}

/// Positions as fractions of half their range about its middle, with the middle and that half, millimetres; `None`
/// where they are all one.
fn scaled(positions: &[Exact]) -> Option<(Vec<f64>, f64, f64)> {
    let first = positions.first()?.to_mm();
    let offsets = from_first(positions);
    let (low, high) =
        offsets.iter().fold((0.0_f64, 0.0_f64), |(low, high), at| (low.min(*at), high.max(*at)));
    let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
    let scaled = offsets.iter().map(|at| (at - middle) / half).collect();
    (half > 0.0).then_some((scaled, first + middle, half))
}
