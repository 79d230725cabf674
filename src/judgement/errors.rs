//! How values err, and how errors combine when values are added and taken from one another.
//!
//! Each place has an error of its own and parts it shares with others: the setting with every gauge set from the
//! same standard, the transfer with its gauge, the hands with what they read with that gauge, the coefficient with
//! its part. A shared part is one error seen several times: it is added with its signs before it is squared, so it
//! cancels in a difference and doubles in a sum (JCGM 100, equation 13 with correlations of nought and one).

use crate::facts::Digest;
use crate::judgement::values::ReadingRef;
use crate::metrology::{Exact, Interval};
use crate::shop::{Between, GaugeInUse, Reading, Warmth};
use std::sync::Arc;

/// How a place's value errs: its own part, and parts shared with others.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceError {
    /// Standard deviation of the mean of the repeats, rounding included; millimetres, as all here.
    pub repeat: f64,
    /// The gauge whose setting and transfer all its repeats share.
    pub gauge: Arc<GaugeInUse>,
    /// Of what the gauge was set from.
    pub setting: f64,
    /// Of carrying the setting over.
    pub transfer: f64,
    /// Of the hands, where they are known to differ.
    pub hands: f64,
    /// Of the temperatures.
    pub warmth: Warmth,
    /// Of lobes that two points do not see, in `repeat` with the rest: a rectangle's standard deviation.
    pub lobing: f64,
    /// Where the value lies, where the instrument gives an interval or the gap is between two blades; `repeat` is then
    /// of that.
    pub interval: Option<Interval>,
    /// The first reading.
    pub reading: ReadingRef,
    /// The others that are averaged with it.
    pub repeats: Arc<[ReadingRef]>,
    /// What it is made of, where it is no mean of one gauge in one person's hands; all of it is then in `repeat`.
    pub made_of: Option<Arc<[Weighed]>>,
}

/// A value's error with the factor it enters a result with.
pub type Weighed = (f64, PlaceError);

impl PlaceError {
    /// Errors of the mean of repeats; `None` where nothing is known of a gauge. Repeats by one gauge in one person's
    /// hands, at one temperature of it where nobody took that, share what is not their own. Of several the whole mean
    /// belongs to this place alone: it is that of the means of each.
    pub(super) fn of(readings: &[&Reading]) -> Option<Self> {
        let first_read = readings.first()?;
        let first = Self::of_one(first_read)?;
        if readings.len() == 1 {
            return Some(first);
        }
        let n = count(readings.len());
        let alike = |r: &&Reading| {
            let known = r.gauge.as_ref().filter(|gauge| gauge.one_reading().is_some());
            known.is_some_and(|gauge| gauge.is_in_hands_of(&first.gauge))
                && same_air(&first, (r.fact, &r.warmth))
                && r.between == first_read.between
                // Other blades are another answer, not the same one again.
                && (r.between.is_none() || r.value == first_read.value)
        };
        let of_first = |r: &&Reading| std::ptr::eq(*r, *first_read) || alike(r);
        let (own, others): (Vec<&Reading>, Vec<&Reading>) = readings.iter().copied().partition(of_first);
        if !others.is_empty() {
            let share = |of: &[&Reading]| count(of.len()) / n;
            return Self::made_of(vec![(share(&own), Self::of(&own)?), (share(&others), Self::of(&others)?)]);
        }
        let warm = |of: fn(&Warmth) -> f64| readings.iter().map(|r| of(&r.warmth)).sum::<f64>() / n;
        let warmth = Warmth {
            of: first.warmth.of,
            part: warm(|w| w.part),
            gauge: warm(|w| w.gauge),
            unsaid: warm(|w| w.unsaid),
            air: warm(|w| w.air),
            part_taken: warm(|w| w.part_taken),
            gauge_taken: warm(|w| w.gauge_taken),
        };
        // Looking between the same two blades again does not bring them closer.
        let repeat = match first_read.between {
            Some(_) => first.repeat,
            None => first.gauge.one_reading()?.own_of_mean(n),
        };
        let named = |r: &&Reading| ReadingRef { fact: r.fact, row: r.row };
        Some(Self { repeat, warmth, repeats: readings.iter().skip(1).map(named).collect(), ..first })
    }

    /// Errors of one reading; `None` where nothing is known of its gauge.
    pub(super) fn of_one(reading: &Reading) -> Option<Self> {
        let gauge = reading.gauge.as_ref()?;
        if let Some(between) = reading.between {
            return Self::of_blades(reading, gauge, between);
        }
        let one = gauge.one_reading()?;
        Some(Self {
            repeat: one.own(),
            gauge: Arc::clone(gauge),
            setting: one.setting,
            transfer: one.transfer,
            hands: one.hands,
            warmth: reading.warmth,
            lobing: 0.0,
            interval: one.interval.map(Interval::plain),
            repeats: Arc::from([]),
            reading: ReadingRef { fact: reading.fact, row: reading.row },
            made_of: None,
        })
    }

    /// Of a gap between two blades, each as sure as a blade is. That a blade is met at other places too is not followed: each
    /// place has its own. `None` where nothing is known of one.
    fn of_blades(reading: &Reading, gauge: &Arc<GaugeInUse>, between: Between) -> Option<Self> {
        let u = gauge.blade()?.u;
        let interval = Interval { half: between.half, ends: [if between.goes_in { u } else { 0.0 }, u] };
        Some(Self {
            repeat: interval.u(),
            gauge: Arc::clone(gauge),
            warmth: reading.warmth,
            interval: Some(interval),
            reading: ReadingRef { fact: reading.fact, row: reading.row },
            ..Self::nothing()
        })
    }

    /// What share of its own error three readings of its place would leave: all of it where there are as many, of an interval,
    /// which looking again does not narrow, and of a mean of several gauges or people. Rounding and lobes stay as they are.
    pub(super) fn left_by_three(&self) -> f64 {
        let (n, own) = (count(self.repeats.len() + 1), self.repeat.powi(2));
        if n >= 3.0 || own == 0.0 || self.interval.is_some() || self.made_of.is_some() {
            return 1.0;
        }
        let rounding = self.gauge.one_reading().map_or(0.0, |one| one.rounding);
        let stays = (rounding.powi(2) + self.lobing.powi(2)).min(own);
        (((own - stays) * n / 3.0 + stays) / own).sqrt()
    }

    /// How far the value lies from either blade, where it is known by two blades alone.
    pub(super) fn blades_apart(&self) -> Option<Exact> {
        let interval = self.interval.filter(|interval| interval.ends != [0.0, 0.0])?;
        Some(Exact::nearest(interval.half))
    }

    /// Of what nobody read and is taken as it is.
    pub(super) fn nothing() -> Self {
        Self {
            repeat: 0.0,
            gauge: Arc::new(GaugeInUse::nobody()),
            setting: 0.0,
            transfer: 0.0,
            hands: 0.0,
            warmth: Warmth::default(),
            lobing: 0.0,
            interval: None,
            repeats: Arc::from([]),
            reading: ReadingRef { fact: Digest::of(&[]), row: 0 },
            made_of: None,
        }
    }

    /// The error of a result as a whole, which then belongs to one place alone; `None` of nothing.
    pub(super) fn made_of(of: Vec<Weighed>) -> Option<Self> {
        let repeat = combined(&of);
        let (_, first) = of.first()?;
        let warmth = Warmth { of: first.warmth.of, ..Warmth::default() };
        let first = first.clone();
        Some(Self {
            repeat,
            setting: 0.0,
            transfer: 0.0,
            hands: 0.0,
            warmth,
            interval: None,
            made_of: Some(of.into()),
            ..first
        })
    }

    /// With what lobes may do to a diameter between two points: so much either way, a rectangle, each plane for itself. More
    /// readings do not narrow it.
    pub(super) fn lobed(self, most: f64) -> Self {
        let lobing = most / 3_f64.sqrt();
        let alone = || Self { repeat: lobing, lobing, reading: self.reading, ..Self::nothing() };
        let made_of = self.made_of.as_ref().map(|of| of.iter().cloned().chain([(1.0, alone())]).collect());
        Self { repeat: self.repeat.hypot(lobing), lobing, made_of, ..self }
    }

    /// The same error where nothing of it is known to be met elsewhere.
    pub(super) fn all_own(&self) -> Self {
        Self {
            repeat: self.combined(),
            setting: 0.0,
            transfer: 0.0,
            hands: 0.0,
            warmth: Warmth { of: self.warmth.of, ..Warmth::default() },
            made_of: None,
            ..self.clone()
        }
    }

    /// Of a fraction of the value.
    pub(super) fn scaled(&self, factor: f64) -> Self {
        let of = |(weight, error): &Weighed| (weight * factor, error.clone());
        let Warmth { of: part_of, part, gauge, unsaid, air, part_taken, gauge_taken } = self.warmth;
        let size = factor.abs();
        Self {
            repeat: self.repeat * size,
            setting: self.setting * size,
            transfer: self.transfer * size,
            hands: self.hands * size,
            warmth: Warmth {
                of: part_of,
                part: part * factor,
                gauge: gauge * factor,
                unsaid: unsaid * factor,
                air: air * factor,
                part_taken: part_taken * factor,
                gauge_taken: gauge_taken * factor,
            },
            lobing: self.lobing * size,
            interval: self.interval.map(|interval| interval.scaled(factor)),
            made_of: Some(
                self.made_of.as_ref().map_or_else(
                    || Arc::from([(factor, self.clone())]),
                    |made| made.iter().map(of).collect(),
                ),
            ),
            gauge: Arc::clone(&self.gauge),
            repeats: Arc::clone(&self.repeats),
            ..*self
        }
    }

    /// What other places of the same set err by as well.
    pub(super) fn shared(&self) -> f64 {
        let Warmth { part, gauge, .. } = self.warmth;
        let given = self.setting.hypot(self.transfer);
        let more = [self.hands, part, gauge, self.warmth.of_drop()];
        // A set at 20 degrees by the figures of the house has no more, and keeps its value to the last digit.
        more.into_iter().filter(|u| *u != 0.0).fold(given, f64::hypot)
    }

    /// One gauge in one person's hands, and one temperature of it where nobody took that: all that is shared is one
    /// draw for both.
    pub(super) fn is_drawn_with(&self, other: &Self) -> bool {
        same_hands(self, other) && same_air(self, (other.reading.fact, &other.warmth))
    }

    pub(super) fn combined(&self) -> f64 {
        self.repeat.hypot(self.shared())
    }
}

#[expect(clippy::cast_precision_loss, reason = "at most 99 repeats")]
const fn count(readings: usize) -> f64 {
    readings as f64
}

/// Standard uncertainty of a sum of values with their factors.
pub(super) fn combined(of: &[Weighed]) -> f64 {
    let refs: Vec<(f64, &PlaceError)> = of.iter().map(|(weight, error)| (*weight, error)).collect();
    combined_of(&refs)
}

/// The same of borrowed errors. Few values meet in one result, so pairs are looked through and nothing is kept.
pub(super) fn combined_of(of: &[(f64, &PlaceError)]) -> f64 {
    if of.iter().any(|(_, error)| error.made_of.is_some()) {
        let mut flat = Vec::new();
        of.iter().for_each(|(weight, error)| spread_out(&mut flat, *weight, error));
        return combined_of(&flat);
    }
    let own: f64 = of.iter().map(|(weight, error)| (weight * error.repeat).powi(2)).sum();
    let warmth = |amount: fn(&Warmth) -> f64| move |error: &PlaceError| amount(&error.warmth);
    let shared = squares(of, |error| error.setting, same_setting)
        + squares(of, |error| error.transfer, |a, b| a.gauge.is(&b.gauge))
        + squares(of, |error| error.hands, same_hands)
        + squares(of, warmth(|w| w.part), |a, b| a.warmth.of == b.warmth.of)
        + squares(of, warmth(|w| w.gauge), same_setting)
        + squares(of, warmth(|w| w.unsaid), same_setting_and_drop)
        + squares(of, warmth(|w| w.air), same_drop)
        + squares(of, warmth(|w| w.part_taken), |a, b| same_drop(a, b) && a.warmth.of == b.warmth.of)
        + squares(of, warmth(|w| w.gauge_taken), same_drop);
    (own + shared).sqrt()
}

/// A value made of others errs as they do, and shares what they share.
fn spread_out<'e>(flat: &mut Vec<(f64, &'e PlaceError)>, weight: f64, error: &'e PlaceError) {
    match &error.made_of {
        Some(made_of) => made_of.iter().for_each(|(inner, error)| spread_out(flat, weight * inner, error)),
        None => flat.push((weight, error)),
    }
}

fn same_setting(a: &PlaceError, b: &PlaceError) -> bool {
    a.gauge.setting_of == b.gauge.setting_of
}

/// The temperature a gauge had when nobody took it is one for a drop: another day is another draw.
fn same_setting_and_drop(a: &PlaceError, b: &PlaceError) -> bool {
    same_setting(a, b) && same_drop(a, b)
}

/// What was taken once for a drop, or nobody took for it.
fn same_drop(a: &PlaceError, b: &PlaceError) -> bool {
    a.reading.fact == b.reading.fact
}

/// Do this value and a reading of that drop share whatever temperature of the gauge nobody took?
fn same_air(a: &PlaceError, (fact, warmth): (Digest, &Warmth)) -> bool {
    a.reading.fact == fact || (a.warmth.of_drop() == 0.0 && warmth.of_drop() == 0.0)
}

fn same_hands(a: &PlaceError, b: &PlaceError) -> bool {
    a.gauge.is_in_hands_of(&b.gauge)
}

/// What one kind of cause adds: those of one cause with their signs, then squared.
fn squares(
    of: &[(f64, &PlaceError)],
    amount: impl Fn(&PlaceError) -> f64,
    same: fn(&PlaceError, &PlaceError) -> bool,
) -> f64 {
    let mut sum = 0.0;
    for (index, (_, error)) in of.iter().enumerate() {
        if of.iter().take(index).any(|(_, earlier)| same(earlier, error)) {
            continue;
        }
        let alike = of.iter().skip(index).filter(|(_, other)| same(other, error));
        sum += alike.map(|(weight, other)| weight * amount(other)).sum::<f64>().powi(2);
    }
    sum
}

/// Uncertainty of a difference of two places.
pub(super) fn difference_error(a: &PlaceError, b: &PlaceError) -> f64 {
    combined_of(&[(1.0, a), (-1.0, b)])
}
