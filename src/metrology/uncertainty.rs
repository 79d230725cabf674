//! The shop's figure for one kind of instrument, split into what repeats and what is shared.

/// Standard uncertainty of one reading, in millimetres (of what is no length, in its unit), in three parts that add in quadrature.
///
/// `setting` and `transfer` are drawn once for a set (zero, scale, the standard it was set from; the
/// carrying over from that standard); `repeat` is drawn at each reading. The split is common practice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// Own error of each reading.
    pub repeat: f64,
    /// Error of the gauge or standard this one was set from; common to all gauges set from it.
    pub setting: f64,
    /// Error of carrying the setting over; this gauge's alone.
    pub transfer: f64,
    /// The instrument gives an interval of this half-width, not a value with a normal error: a feeler, a
    /// gauging strip. Repeats do not narrow it.
    pub interval: Option<f64>,
}

impl Figure {
    /// From an expanded uncertainty `U` (k = 2) and its shared parts as standard uncertainties, millimetres.
    /// `None` unless something is left for the repeat part: a gauge that repeats perfectly does not exist.
    #[must_use]
    pub fn from_expanded(expanded: f64, setting: f64, transfer: f64) -> Option<Self> {
        let u = expanded / 2.0;
        let rest = u * u - setting * setting - transfer * transfer;
        (rest > 1e-18).then(|| Self { repeat: rest.sqrt(), setting, transfer, interval: None })
    }

    /// From the half-width of an interval: a rectangle, whose standard uncertainty is the half-width over the
    /// root of three (JCGM 100, 4.3.7). `None` of no width.
    #[must_use]
    pub fn from_interval(half: f64) -> Option<Self> {
        let repeat = half / 3_f64.sqrt();
        (half > 1e-9).then_some(Self { repeat, setting: 0.0, transfer: 0.0, interval: Some(half) })
    }

    /// The same in a unit of which one of the old is `factor`.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            repeat: self.repeat * factor,
            setting: self.setting * factor,
            transfer: self.transfer * factor,
            interval: self.interval.map(|half| half * factor),
        }
    }

    /// What is common to all readings of one set.
    #[must_use]
    pub fn shared(&self) -> f64 {
        self.setting.hypot(self.transfer)
    }

    /// Combined standard uncertainty of one reading.
    #[must_use]
    pub fn combined(&self) -> f64 {
        self.repeat.hypot(self.shared())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The facts of the invented demonstration engine, computed beside its description: bore gauge U 0.00035 of
    /// which 0.000075 is the micrometer's and 0.000122474 the transfer leaves a repeat of 0.0001.
    #[test]
    fn splits_the_bore_gauge() {
        let figure = Figure::from_expanded(0.000_35, 0.000_075, 0.000_122_474).expect("figure");
        assert!((figure.repeat - 0.0001).abs() < 1e-8);
        assert!((figure.shared() - 0.000_143_614).abs() < 1e-9);
        assert!((figure.combined() - 0.000_175).abs() < 1e-12);
    }

    #[test]
    fn refuses_a_perfect_gauge() {
        assert!(Figure::from_expanded(0.0002, 0.0001, 0.0).is_none());
    }
}
