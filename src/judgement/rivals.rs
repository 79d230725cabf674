//! The worst of many: how far out it comes to lie by chance alone.
//!
//! The loosest clearance is the largest of some readings less the smallest of others, the wear of a surface that of its
//! worst place. Each was chosen for lying furthest out, and noise had a part in the choice. So beyond is proven only of
//! what something just at its limit seldom shows by the worst of all that might have been chosen (`Judged::unless_noise`).
//!
//! A place might have been chosen when its readings cannot be told from those of the one that was: they lie no further apart
//! than readings of one size do in 999 of 1000 sets. One further off truly has another size. (With the usual 95 of 100, sets
//! with one reading far out would be taken for such surfaces, and those are the very sets that show too much.) Any two results that could have
//! been chosen share their members or nothing, so they err with a correlation of nought or more, and the chance that none
//! lies further out is at least that of as many independent ones (Slepian 1962, recalled). With what all share as one draw,
//! that bound is taken here: errors of choice are called rarer than they are, never more common.

use crate::judgement::errors::{PlaceError, combined_of};
use crate::judgement::plain::is_one_set;
use crate::judgement::values::PlaceValue;
use crate::metrology::noise::range_floor;
use crate::metrology::normal::phi;
use crate::metrology::proof::{PlaceMargin, all_places_conform};

/// One member of a result.
pub(super) struct Chosen<'a> {
    /// The factor it enters the result with.
    pub(super) weight: f64,
    /// The place that was chosen.
    pub(super) place: &'a PlaceValue,
    /// All that it was chosen among, itself with them.
    pub(super) among: Vec<&'a PlaceValue>,
}

/// The largest of so many ranges stays under a floor in 95 of 100 cases where each of them does in 999 of 1000.
const FIFTY: usize = 50;

/// What might have been chosen as well.
struct Rivals {
    number: usize,
    /// The largest standard deviation of what is each one's own, millimetres.
    own: f64,
    /// They share everything else.
    alike: bool,
}

/// Probability that a result that is truly just at its limit lies no further out than `by` millimetres, `by > 0`, by the
/// worst of all that might have been chosen. `None` where an uncertainty is not known.
pub(super) fn shows(by: f64, of: &[Chosen<'_>]) -> Option<f64> {
    let errors: Vec<(f64, &PlaceError)> =
        of.iter().map(|chosen| Some((chosen.weight, chosen.place.error.as_ref()?))).collect::<Option<_>>()?;
    let all = combined_of(&errors);
    let rivals: Vec<Rivals> = of.iter().map(Chosen::rivals).collect::<Option<_>>()?;
    let number: usize = rivals.iter().map(|rivals| rivals.number).product();
    let of_each = of.iter().zip(&rivals).map(|(chosen, rivals)| (chosen.weight * rivals.own).powi(2));
    let own =
        if rivals.iter().all(|rivals| rivals.alike) { of_each.sum::<f64>().sqrt().min(all) } else { all };
    if number < 2 || own <= 0.0 {
        return Some(phi(by / all));
    }
    let shared = (all.powi(2) - own.powi(2)).max(0.0).sqrt();
    let each = PlaceMargin { low: Some(by), high: None, repeat: own };
    Some(all_places_conform(&vec![each; number], shared))
}

impl Chosen<'_> {
    fn rivals(&self) -> Option<Rivals> {
        let error = self.place.error.as_ref()?;
        if self.among.len() < 2 {
            return Some(Rivals { number: 1, own: error.repeat, alike: true });
        }
        let floor = range_floor(self.among.len(), FIFTY);
        let mut found = Rivals { number: 0, own: 0.0, alike: true };
        for place in &self.among {
            let other = place.error.as_ref()?;
            let alike = is_one_set(error, other);
            let of = |error: &PlaceError| if alike { error.repeat } else { error.combined() };
            let own = of(error).max(of(other));
            if (place.mean - self.place.mean).abs().to_mm() <= floor * own {
                found.number += 1;
                found.own = found.own.max(own);
                found.alike &= alike;
            }
        }
        Some(found)
    }
}
