//! Sums of intervals: what several rectangles give together, exactly.
//!
//! A feeler, a gauging strip or a certificate's "no more than" is a rectangle. Added in quadrature with a factor of
//! 1.96 they are taken for a normal, which is safe but wide for one or two; the sum itself has a closed form (JCGM
//! 101:2008, 9.2.3 has four alike).

/// The most rectangles that are added: the closed form has 2^n terms, and loses half a digit with each.
pub const MOST: usize = 10;

/// Probability that the sum of independent rectangles about zero with these half-widths lies within plus or minus
/// `reach`; `None` of none, of more than [`MOST`], or where a half-width is not positive. Same unit throughout. Off by
/// less than 1e-8 where the narrowest is no less than a twentieth of the widest.
///
/// The volume of a box on one side of a plane: `sum over signs of (prod of signs) (x + sum of signed a)_+^n`
/// over `n! prod(2 a)`.
#[must_use]
pub fn within(halves: &[f64], reach: f64) -> Option<f64> {
    if halves.is_empty() || halves.len() > MOST || !halves.iter().all(|half| *half > 0.0) {
        return None;
    }
    let power = i32::try_from(halves.len()).ok()?;
    let mut terms = vec![(reach, 1.0)];
    for half in halves {
        terms = terms.iter().flat_map(|(at, sign)| [(at + half, *sign), (at - half, -sign)]).collect();
    }
    let volume: f64 = terms.iter().map(|(at, sign)| sign * at.max(0.0).powi(power)).sum();
    let scale: f64 = halves.iter().zip(1_u32..).map(|(half, n)| 2.0 * half * f64::from(n)).product();
    // Below the reach lies (1 + p) / 2.
    Some((2.0 * volume / scale - 1.0).clamp(0.0, 1.0))
}

/// The half-width that holds `p` of such a sum, `p` between 0 and 1; `None` as for [`within`].
#[must_use]
pub fn expanded(halves: &[f64], p: f64) -> Option<f64> {
    let (mut low, mut high) = (0.0, halves.iter().sum::<f64>());
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if within(halves, middle)? < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One is itself, two alike are a triangle: P(|s| <= x) = 1 - (1 - x / 2a)^2.
    #[test]
    fn one_and_two_have_plain_forms() {
        assert!((expanded(&[0.3], 0.95).expect("one") - 0.285).abs() < 1e-12);
        let two = 2.0 * (1.0 - 0.05_f64.sqrt());
        assert!((expanded(&[1.0, 1.0], 0.95).expect("two") - two).abs() < 1e-12);
        assert_eq!(within(&[], 1.0), None);
        assert_eq!(within(&[1.0, 0.0], 1.0), None);
    }

    /// Counting cells of a box: the obvious second way.
    #[test]
    fn three_of_any_width_agree_with_counting() {
        let (a, b, c, reach) = (1.0, 0.4, 0.7, 0.9);
        let at = |i: u32, half: f64| (f64::from(i) + 0.5) / 75.0 * half - half;
        let mut inside = 0_u32;
        for i in 0..150 {
            for j in 0..150 {
                for k in 0..150 {
                    inside += u32::from((at(i, a) + at(j, b) + at(k, c)).abs() <= reach);
                }
            }
        }
        let counted = f64::from(inside) / 150_f64.powi(3);
        assert!((within(&[a, b, c], reach).expect("three") - counted).abs() < 2e-3, "{counted}");
    }
}
