//! Threads as people write them, and the area that carries the load.

use crate::workbench::number::{figure, short};
use std::f64::consts::FRAC_PI_4;

const INCH: f64 = 25.4; // mm

/// Coarse pitches of ISO metric threads, mm (ISO 261, recalled).
const COARSE: [(f64, f64); 14] = [
    (3.0, 0.5),
    (4.0, 0.7),
    (5.0, 0.8),
    (6.0, 1.0),
    (7.0, 1.0),
    (8.0, 1.25),
    (10.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
    (18.0, 2.5),
    (20.0, 2.5),
    (22.0, 2.5),
    (24.0, 3.0),
];

/// An outside thread of 60 degrees.
#[derive(Clone, Debug)]
pub struct Thread {
    /// As written.
    pub name: String,
    /// Nominal diameter, mm.
    pub diameter: f64,
    /// Pitch, mm.
    pub pitch: f64,
    /// ISO metric; else unified inch.
    pub metric: bool,
}

impl Thread {
    /// Reads `M10`, `M10x1.25`, `3/8-24` or `1 1/8-12`.
    ///
    /// # Errors
    /// Words that say what is wrong with it.
    pub fn read(text: &str) -> Result<Self, String> {
        let name = text.trim();
        let metric = name.strip_prefix(['M', 'm']);
        let read = metric.map_or_else(|| inch(name), millimetres);
        let (diameter, pitch) = read.ok_or_else(|| {
            format!("{text:?} is no thread; for a metric thread that is not coarse write the pitch too")
        })?;
        let is_thread = diameter > 1.0 && diameter < 200.0 && pitch > 0.1 && pitch < diameter / 2.0;
        if !is_thread {
            return Err(format!("{text:?} has no such pitch"));
        }
        Ok(Self { name: name.to_owned(), diameter, pitch, metric: metric.is_some() })
    }

    /// Stress area in mm2.
    ///
    /// Metric: pi/4 ((d2 + d3)/2)^2 with d2 = d - 0.75 H, d3 = d - 17/12 H, H = P sqrt(3)/2 (ISO 898-1:2013, 9.1.6).
    /// Unified: pi/4 (D - 0.9743/n)^2 (ASME B1.1). Both recalled.
    #[must_use]
    pub fn stress_area(&self) -> f64 {
        FRAC_PI_4 * self.stress_diameter().powi(2)
    }

    fn stress_diameter(&self) -> f64 {
        if self.metric {
            let height = self.pitch * 3.0_f64.sqrt() / 2.0;
            self.diameter - (0.75 + 17.0 / 12.0) / 2.0 * height
        } else {
            self.diameter - 0.9743 * self.pitch
        }
    }

    /// The formula, and the same with the numbers put in.
    #[must_use]
    pub(super) fn how(&self) -> (&'static str, String) {
        let area = self.stress_area();
        if self.metric {
            let (d, p) = (self.diameter, self.pitch);
            return (
                "As = pi/4 x (d - 0.938194 P)^2, the circle half way between flank and root",
                format!("As = pi/4 x ({d} - 0.938194 x {p})^2 = {} mm2.", figure(area, 5)),
            );
        }
        let (d, n) = (self.diameter / INCH, INCH / self.pitch);
        let words = format!(
            "As = pi/4 x ({} - 0.9743/{n:.0})^2 = {} in2.",
            short(d, 6),
            figure(area / INCH / INCH, 4)
        );
        ("As = pi/4 x (D - 0.9743/n)^2, n threads an inch", words)
    }
}

/// `10` or `10x1.25`.
fn millimetres(text: &str) -> Option<(f64, f64)> {
    if let Some((diameter, pitch)) = text.split_once(['x', 'X']) {
        return Some((plain(diameter)?, plain(pitch)?));
    }
    let diameter = plain(text)?;
    COARSE.into_iter().find(|(size, _)| (size - diameter).abs() < 1e-9)
}

/// `3/8-24`: diameter and threads an inch.
fn inch(text: &str) -> Option<(f64, f64)> {
    let (size, threads) = text.split_once('-')?;
    let mut diameter = 0.0;
    for part in size.split_whitespace() {
        diameter += match part.split_once('/') {
            Some((over, under)) => plain(over)? / plain(under).filter(|under| *under > 0.0)?,
            None => plain(part)?,
        };
    }
    Some((diameter * INCH, INCH / plain(threads).filter(|threads| *threads > 0.0)?))
}

/// Digits and a point, nothing else that the standard library would take for a number.
fn plain(text: &str) -> Option<f64> {
    let text = text.trim();
    let is_plain = text.len() <= 8 && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    text.parse().ok().filter(|_| is_plain)
}
