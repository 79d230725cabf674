//! Property classes and grades: the stress a bolt must bear without a lasting change, the least it yields at, and the
//! least it breaks at.

use super::thread::Thread;

/// One class or grade in a range of sizes.
#[derive(Debug)]
pub struct Grade {
    /// As marked on the head or named in a sheet.
    pub name: &'static str,
    metric: bool,
    /// Nominal diameters above the first up to the second, mm.
    sizes: (f64, f64),
    /// Proof stress, MPa (metric) or ksi.
    pub proof: f64,
    /// Least yield strength (metric: the 0.2 percent proof strength), the same.
    pub yields: f64,
    /// Least tensile strength, the same.
    pub breaking: f64,
}

const fn grade(name: &'static str, metric: bool, sizes: (f64, f64), stresses: [f64; 3]) -> Grade {
    let [proof, yields, breaking] = stresses;
    Grade { name, metric, sizes, proof, yields, breaking }
}

/// Proof, yield, tensile. ISO 898-1 proof stresses and SAE J429 READ in public copies, the tensile strengths of ISO 898-1 as
/// the loads of its tables have them; its yield strengths (ISO 898-1:2013, table 3) RECALLED.
const GRADES: [Grade; 7] = [
    grade("8.8", true, (0.0, 16.0), [580.0, 640.0, 800.0]),
    grade("8.8", true, (16.0, 39.0), [600.0, 660.0, 830.0]),
    grade("10.9", true, (0.0, 39.0), [830.0, 940.0, 1040.0]),
    grade("12.9", true, (0.0, 39.0), [970.0, 1100.0, 1220.0]),
    grade("2", false, (6.3, 19.1), [55.0, 57.0, 74.0]),
    grade("5", false, (6.3, 25.5), [85.0, 92.0, 120.0]),
    grade("8", false, (6.3, 38.2), [120.0, 130.0, 150.0]),
];

const KSI: f64 = 6.894_757_293_168; // MPa

impl Grade {
    /// The grade of this name for a thread.
    ///
    /// # Errors
    /// Words that say which there are.
    pub fn named(text: &str, thread: &Thread) -> Result<&'static Self, String> {
        let inside = |grade: &&Self| {
            grade.metric == thread.metric
                && thread.diameter > grade.sizes.0
                && thread.diameter <= grade.sizes.1
        };
        let mut there = GRADES.iter().filter(inside);
        there.clone().find(|grade| grade.name == text.trim()).ok_or_else(|| {
            let first = there.next().map(|grade| grade.name.to_owned());
            let names = there.fold(first, |names, grade| names.map(|names| names + ", " + grade.name));
            match names {
                Some(names) => {
                    format!("{text:?} is no grade known here for {}; known are {names}", thread.name)
                }
                None => format!("no grade is known here for {}; leave it away", thread.name),
            }
        })
    }

    /// Proof stress, least yield strength and least tensile strength, MPa.
    #[must_use]
    pub fn stresses(&self) -> [f64; 3] {
        let scale = if self.metric { 1.0 } else { KSI };
        [self.proof, self.yields, self.breaking].map(|stress| stress * scale)
    }

    /// The unit its stresses are written in.
    pub(super) fn unit(&self) -> &'static str {
        if self.metric { "MPa" } else { "ksi" }
    }
}
