//! One tolerance class, such as H7 or g6, and its limits at a size.

use super::table::{self, LETTERS};
use num_rational::Ratio;

/// A hole's class (a capital letter) or a shaft's.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Class {
    /// Of a hole?
    pub hole: bool,
    /// The letter as a shaft has it.
    letter: &'static str,
    /// IT grade.
    pub grade: u8,
}

/// Deviations from the nominal size, in nanometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Zone {
    /// EI of a hole, ei of a shaft.
    pub lower: i64,
    /// ES of a hole, es of a shaft.
    pub upper: i64,
}

impl Class {
    /// Reads `H7` or `g6`.
    ///
    /// # Errors
    /// Words that say what is wrong with it.
    pub fn read(text: &str) -> Result<Self, String> {
        let at = text.find(|c: char| c.is_ascii_digit()).unwrap_or(text.len());
        let (letters, grade) = text.split_at(at);
        let hole = letters.chars().all(|c| c.is_ascii_uppercase());
        let known = LETTERS.into_iter().find(|known| *known == letters.to_lowercase());
        let letter = known.filter(|letter| hole || *letter == letters).ok_or_else(|| {
            format!(
                "{text:?} has no letter of ours; holes have {}, shafts {}",
                LETTERS.join(" ").to_uppercase(),
                LETTERS.join(" ")
            )
        })?;
        let grade = grade.parse().ok().filter(|grade| (5..=11).contains(grade));
        let grade = grade.ok_or_else(|| format!("{text:?} has no grade from 5 to 11 behind its letter"))?;
        if hole && letter == "k" && grade > 8 {
            return Err(format!("{text:?}: holes K are laid down for the grades up to 8 only"));
        }
        Ok(Self { hole, letter, grade })
    }

    /// As written.
    #[must_use]
    pub fn name(&self) -> String {
        let letter = if self.hole { self.letter.to_uppercase() } else { self.letter.to_owned() };
        format!("{letter}{}", self.grade)
    }

    /// Tolerance at a size in mm, in micrometres; `None` outside 0 to 500 mm.
    #[must_use]
    pub fn tolerance(&self, size: Ratio<i128>) -> Option<i64> {
        table::tolerance(self.grade, table::step(size)?)
    }

    /// Limits at a size in mm; `None` outside 0 to 500 mm.
    ///
    /// Shafts: c to h hang below es, k to u stand on ei. Holes mirror them, and K, M, N to grade 8 and P to U to grade
    /// 7 are moved out by the difference of the two grades (ISO 286-1:2010, 4.3, RECALLED), so that H7/p6 and P7/h6 fit
    /// alike.
    #[must_use]
    pub fn zone(&self, size: Ratio<i128>) -> Option<Zone> {
        let step = table::step(size)?;
        let tolerance = table::tolerance(self.grade, step)?;
        if self.letter == "js" {
            return Some(Zone { lower: -tolerance * 500, upper: tolerance * 500 });
        }
        let shaft = table::deviation(self.letter, size)?;
        let from = |upper: i64| Zone { lower: (upper - tolerance) * 1_000, upper: upper * 1_000 };
        let on = |lower: i64| Zone { lower: lower * 1_000, upper: (lower + tolerance) * 1_000 };
        Some(match (self.hole, self.hangs()) {
            (false, true) => from(shaft),
            (false, false) => on(self.shaft_deviation(shaft)),
            (true, true) => on(-shaft),
            (true, false) => from(self.hole_deviation(shaft, step)?),
        })
    }

    /// A letter before js: the shaft hangs below the nominal size.
    fn hangs(&self) -> bool {
        matches!(self.letter, "c" | "d" | "e" | "f" | "g" | "h")
    }

    /// k stands off the nominal size in the grades 4 to 7 only.
    fn shaft_deviation(&self, shaft: i64) -> i64 {
        if self.letter == "k" && self.grade > 7 { 0 } else { shaft }
    }

    /// ES of a hole K to U.
    fn hole_deviation(&self, shaft: i64, step: usize) -> Option<i64> {
        let small = step == 0;
        let is_moved = match self.letter {
            "k" | "m" | "n" => self.grade <= 8,
            _ => self.grade <= 7,
        };
        if self.letter == "n" && !is_moved && !small {
            return Some(0);
        }
        // The one cell that the standard rounds otherwise.
        if self.letter == "m" && self.grade == 6 && table::STEPS.get(step) == Some(&315) {
            return Some(-9);
        }
        let apart = table::tolerance(self.grade, step)? - table::tolerance(self.grade - 1, step)?;
        Some(if is_moved && !small { apart - shaft } else { -shaft })
    }
}
