//! From values to points of a drawing.

/// A range of values laid over a range of points. Everything lands inside: what is further out lies at the edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    values: (f64, f64),
    points: (f64, f64),
}

impl Scale {
    /// From the least to the most of these values; `None` where there is none.
    pub(super) fn over(values: impl IntoIterator<Item = f64>, points: (f64, f64)) -> Option<Self> {
        let finite: Vec<f64> = values.into_iter().filter(|value| value.is_finite()).collect();
        let least = finite.iter().copied().reduce(f64::min)?;
        let most = finite.iter().copied().reduce(f64::max)?;
        Some(Self { values: (least, most), points })
    }

    /// Where a value lies; all of one value lie in the middle.
    pub(super) fn at(&self, value: f64) -> f64 {
        let ((least, most), (from, to)) = (self.values, self.points);
        let share = (value - least) / (most - least);
        let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.5 };
        from + share * (to - from)
    }
}

/// A coordinate as it is written: a tenth of a point.
pub(super) fn point(value: f64) -> String {
    format!("{value:.1}")
}

/// So many things side by side in so many points: where the middle of each lies.
pub(super) fn spread(index: usize, count: usize, from: f64, to: f64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a handful of places")]
    let (index, count) = (index as f64, count.max(1) as f64);
    from + (index + 0.5) / count * (to - from)
}
