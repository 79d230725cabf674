//! The published solutions of Raimondi and Boyd for full journal bearings, and what lies between them.
//!
//! A. A. Raimondi and J. Boyd, "A solution for the finite journal bearing and its application to analysis and design",
//! ASLE Transactions 1 (1958). For l/d = 1 Sommerfeld number, film and friction were READ in a public copy and the flow of
//! two rows; the rest is RECALLED, and each value is within the tolerance of a solution of our own of the Reynolds equation
//! (`tests/checks/bearing.rs`).

/// What the tables say of one eccentricity, all without dimension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Eccentricity ratio; the least film is 1 less this, in units of the radial clearance.
    pub eccentricity: f64,
    /// Sommerfeld number S = (r/c)^2 mu N / P.
    pub sommerfeld: f64,
    /// Friction (r/c) f.
    pub friction: f64,
    /// Flow Q / (r c N l).
    pub flow: f64,
    /// Share of the flow that leaves at the sides, Qs / Q.
    pub side: f64,
}

const fn row(eccentricity: f64, sommerfeld: f64, friction: f64, flow: f64, side: f64) -> Row {
    Row { eccentricity, sommerfeld, friction, flow, side }
}

type Rows = [Row; 7];

const ONE: Rows = [
    row(0.1, 1.33, 26.4, 3.37, 0.150),
    row(0.2, 0.631, 12.8, 3.59, 0.280),
    row(0.4, 0.264, 5.79, 3.99, 0.497),
    row(0.6, 0.121, 3.22, 4.33, 0.680),
    row(0.8, 0.0446, 1.70, 4.62, 0.842),
    row(0.9, 0.0188, 1.05, 4.74, 0.919),
    row(0.97, 0.00474, 0.514, 4.82, 0.973),
];
#[expect(clippy::approx_constant, reason = "0.318 is what the table says")]
const HALF: Rows = [
    row(0.1, 4.31, 85.6, 3.43, 0.173),
    row(0.2, 2.03, 40.9, 3.72, 0.318),
    row(0.4, 0.779, 17.0, 4.29, 0.552),
    row(0.6, 0.319, 8.10, 4.85, 0.730),
    row(0.8, 0.0923, 3.26, 5.41, 0.874),
    row(0.9, 0.0313, 1.60, 5.69, 0.939),
    row(0.97, 0.00609, 0.610, 5.88, 0.980),
];
const QUARTER: Rows = [
    row(0.1, 16.2, 322.0, 3.45, 0.180),
    row(0.2, 7.57, 153.0, 3.76, 0.330),
    row(0.4, 2.83, 61.1, 4.37, 0.567),
    row(0.6, 1.07, 26.7, 4.99, 0.746),
    row(0.8, 0.261, 8.80, 5.60, 0.884),
    row(0.9, 0.0736, 3.50, 5.91, 0.945),
    row(0.97, 0.0101, 0.922, 6.12, 0.984),
];

/// Lengths of the tables, l/d.
pub const LENGTHS: (f64, f64) = (0.25, 1.0);

/// The tables at a length: between theirs the parabola of d/l through the three. `None` outside them.
///
/// The authors join their tables by a cubic that takes in their fourth, of a bearing without side flow; against the Reynolds
/// equation that puts the share of the side flow up to 0.24 too low, the parabola up to 0.04 too high. The other values differ
/// little.
#[must_use]
pub fn at(length_over_diameter: f64) -> Option<Rows> {
    let (shortest, longest) = LENGTHS;
    // What is a quarter or the whole of the diameter but for the last digit of a double is in the tables.
    let inside = (shortest - 1e-9..=longest + 1e-9).contains(&length_over_diameter);
    if !inside {
        return None;
    }
    let x = 1.0 / length_over_diameter;
    // What each table weighs: l/d 1, 1/2, 1/4.
    let one = (x - 2.0) * (x - 4.0) / 3.0;
    let half = -(x - 1.0) * (x - 4.0) / 2.0;
    let quarter = (x - 1.0) * (x - 2.0) / 6.0;
    let mut rows = ONE;
    for (((row, a), b), c) in rows.iter_mut().zip(ONE).zip(HALF).zip(QUARTER) {
        let of = |value: fn(&Row) -> f64| one * value(&a) + half * value(&b) + quarter * value(&c);
        *row = Row {
            eccentricity: a.eccentricity,
            sommerfeld: of(|row| row.sommerfeld),
            friction: of(|row| row.friction),
            flow: of(|row| row.flow),
            side: of(|row| row.side),
        };
    }
    Some(rows)
}

/// Between two neighbouring rows, in a straight line of the Sommerfeld number, as worked examples do.
#[must_use]
pub fn between(rows: &[Row], sommerfeld: f64) -> Option<Row> {
    let pair = rows.windows(2).find_map(|pair| match pair {
        [light, heavy] if heavy.sommerfeld <= sommerfeld && sommerfeld <= light.sommerfeld => {
            Some((light, heavy))
        }
        _ => None,
    });
    let (light, heavy) = pair?;
    let part = (light.sommerfeld - sommerfeld) / (light.sommerfeld - heavy.sommerfeld);
    let of = |value: fn(&Row) -> f64| value(light) + part * (value(heavy) - value(light));
    Some(Row {
        eccentricity: of(|row| row.eccentricity),
        sommerfeld,
        friction: of(|row| row.friction),
        flow: of(|row| row.flow),
        side: of(|row| row.side),
    })
}
