//! How one reading errs by what its gauge is, and the mean of several by one person.

/// How one reading errs by what its gauge is: standard uncertainties in the unit of the gauge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OneReading {
    /// Scatter, drawn anew at each reading.
    pub repeat: f64,
    /// Rounding to the step, where the scatter does not hold it; repeats round alike.
    pub rounding: f64,
    /// What people differ by from part to part: one draw for each place in these hands, in all repeats of it.
    pub by_part: f64,
    /// Of what the gauge was set from, one draw for all that is set from it.
    pub setting: f64,
    /// Of carrying the setting over, one draw for this gauge.
    pub transfer: f64,
    /// Of the hands, one draw for this gauge in them.
    pub hands: f64,
    /// Half-width, where the gauge gives an interval; `repeat` is then of its rectangle.
    pub interval: Option<f64>,
}

impl OneReading {
    /// What no other reading has.
    #[must_use]
    pub fn own(&self) -> f64 {
        self.own_of_mean(1.0)
    }

    /// What no other place has, of the mean of so many repeats. The width of an interval is no scatter: looking three
    /// times does not narrow it. Nor is rounding, where it hides the scatter, nor how these hands take this place.
    #[must_use]
    pub fn own_of_mean(&self, repeats: f64) -> f64 {
        let narrowed = if self.interval.is_some() { 1.0 } else { repeats.sqrt() };
        let own = (self.repeat / narrowed).hypot(self.rounding);
        // Without a study that tells it apart a value is kept to the last digit.
        if self.by_part > 0.0 { own.hypot(self.by_part) } else { own }
    }

    /// What all readings of a set by this gauge in these hands have.
    #[must_use]
    pub fn shared(&self) -> f64 {
        self.setting.hypot(self.transfer).hypot(self.hands)
    }

    /// All of it.
    #[must_use]
    pub fn combined(&self) -> f64 {
        self.own().hypot(self.shared())
    }
}
