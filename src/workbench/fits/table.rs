//! The tables of ISO 286-1:2010 for sizes up to 500 mm: tolerances of the grades 5 to 11 and the fundamental deviations
//! of the letters a shop meets, in micrometres.
//!
//! RECALLED from the standard, which was not open. Grades 5 to 8 and the letters f, g, h, k and p between 3 and 120 mm
//! agree with public copies that were READ; shafts c to u of all sizes agree with the library pressfit (`tests/peer_numbers.rs`).

use num_rational::Ratio;

/// Upper ends of the steps of size, mm; a size on the end belongs to the step below it.
pub(super) const STEPS: [i128; 13] = [3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500];

/// Tolerances of the grades 4 to 11, a row a grade. Grade 4 is needed for holes of grade 5.
const GRADES: [(u8, [i64; 13]); 8] = [
    (4, [3, 4, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20]),
    (5, [4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27]),
    (6, [6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40]),
    (7, [10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63]),
    (8, [14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97]),
    (9, [25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155]),
    (10, [40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250]),
    (11, [60, 75, 90, 110, 130, 160, 190, 220, 250, 290, 320, 360, 400]),
];

/// Fundamental deviation of shaft letters that follow the steps: es of d to h, ei of k to p.
const PLAIN: [(&str, [i64; 13]); 9] = [
    ("d", [-20, -30, -40, -50, -65, -80, -100, -120, -145, -170, -190, -210, -230]),
    ("e", [-14, -20, -25, -32, -40, -50, -60, -72, -85, -100, -110, -125, -135]),
    ("f", [-6, -10, -13, -16, -20, -25, -30, -36, -43, -50, -56, -62, -68]),
    ("g", [-2, -4, -5, -6, -7, -9, -10, -12, -14, -15, -17, -18, -20]),
    ("h", [0; 13]),
    ("k", [0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5]),
    ("m", [2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23]),
    ("n", [4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40]),
    ("p", [6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68]),
];

/// Upper ends of the finer steps that the letters c, r, s and u follow, mm.
const FINE_STEPS: [i128; 23] =
    [3, 6, 10, 18, 24, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400, 450];

/// The same for these letters, the last value for the step up to 500 mm.
const FINE: [(&str, [i64; 24]); 4] = [
    (
        "c",
        [
            -60, -70, -80, -95, -110, -110, -120, -130, -140, -150, -170, -180, -200, -210, -230, -240, -260,
            -280, -300, -330, -360, -400, -440, -480,
        ],
    ),
    (
        "r",
        [10, 15, 19, 23, 28, 28, 34, 34, 41, 43, 51, 54, 63, 65, 68, 77, 80, 84, 94, 98, 108, 114, 126, 132],
    ),
    (
        "s",
        [
            14, 19, 23, 28, 35, 35, 43, 43, 53, 59, 71, 79, 92, 100, 108, 122, 130, 140, 158, 170, 190, 208,
            232, 252,
        ],
    ),
    (
        "u",
        [
            18, 23, 28, 33, 41, 48, 60, 70, 87, 102, 124, 144, 170, 190, 210, 236, 258, 284, 315, 350, 390,
            435, 490, 540,
        ],
    ),
];

/// Letters that are known, as a shaft has them.
pub(super) const LETTERS: [&str; 14] =
    ["c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s", "u"];

/// The step a size in mm stands in; `None` outside 0 to 500 mm.
pub(super) fn step(size: Ratio<i128>) -> Option<usize> {
    let inside = size > Ratio::from_integer(0);
    STEPS.iter().position(|end| inside && size <= Ratio::from_integer(*end))
}

/// Tolerance of a grade 4 to 11 in a step.
pub(super) fn tolerance(grade: u8, step: usize) -> Option<i64> {
    GRADES.iter().find(|(row, _)| *row == grade).and_then(|(_, row)| row.get(step)).copied()
}

/// Fundamental deviation of a shaft letter other than js.
pub(super) fn deviation(letter: &str, size: Ratio<i128>) -> Option<i64> {
    let plain = PLAIN.iter().find(|(known, _)| *known == letter).map(|(_, row)| row);
    if let Some(row) = plain {
        return row.get(step(size)?).copied();
    }
    let fine =
        FINE_STEPS.iter().position(|end| size <= Ratio::from_integer(*end)).unwrap_or(FINE_STEPS.len());
    let (_, row) = FINE.iter().find(|(known, _)| *known == letter)?;
    row.get(fine).copied()
}
