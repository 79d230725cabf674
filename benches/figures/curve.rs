//! How the cost of a drop grows with the ledger, as a small drawing: cost against that at the smallest ledger, the
//! ledger's size on a scale of powers of ten, the aims dashed.

use std::fmt::Write as _;

/// One line of the drawing.
pub(super) struct Line {
    pub(super) name: &'static str,
    pub(super) colour: &'static str,
    pub(super) aim: f64,
    /// Drops in the ledger, and cost against the first.
    pub(super) points: Vec<(usize, f64)>,
}

const WIDTH: f64 = 660.0;
const HEIGHT: f64 = 320.0;
const LEFT: f64 = 60.0;
const RIGHT: f64 = 620.0;
const TOP: f64 = 40.0;
const BOTTOM: f64 = 270.0;

/// Where things lie in the drawing.
struct Scale {
    low: f64,
    high: f64,
    top: f64,
}

impl Scale {
    fn of(lines: &[Line]) -> Self {
        let points = || lines.iter().flat_map(|line| &line.points);
        let sizes = || points().map(|(size, _)| (*size as f64).log10());
        let highest =
            points().map(|(_, cost)| *cost).chain(lines.iter().map(|line| line.aim)).fold(2.0, f64::max);
        let (low, high) = (sizes().fold(f64::INFINITY, f64::min), sizes().fold(0.0, f64::max));
        Self { low, high, top: (highest + 0.2).ceil() }
    }

    fn x(&self, size: usize) -> f64 {
        LEFT + (RIGHT - LEFT) * ((size as f64).log10() - self.low) / (self.high - self.low).max(1.0)
    }

    fn y(&self, cost: f64) -> f64 {
        BOTTOM - (BOTTOM - TOP) * cost / self.top
    }
}

/// The drawing.
pub(super) fn svg(lines: &[Line]) -> String {
    let scale = Scale::of(lines);
    let sizes: Vec<usize> = lines[0].points.iter().map(|(size, _)| *size).collect();
    let mut out = frame(&scale, &sizes);
    for (index, line) in lines.iter().enumerate() {
        draw(&mut out, &scale, line, LEFT + 200.0 * index as f64);
    }
    out.push_str("</svg>\n");
    out
}

/// Heading, scales and what they say.
fn frame(scale: &Scale, sizes: &[usize]) -> String {
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" font-family=\"sans-serif\" \
         font-size=\"13\">\n<rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#fff\"/>\n\
         <text x=\"{LEFT}\" y=\"22\">Cost of a drop, against that in a ledger of {}</text>\n",
        grouped(sizes[0])
    );
    let mut mark = 0.0;
    while mark <= scale.top {
        let (at, left) = (scale.y(mark), LEFT - 8.0);
        writeln!(out, "<path d=\"M{LEFT} {at:.1}H{RIGHT}\" stroke=\"#ddd\"/>").unwrap();
        writeln!(out, "<text x=\"{left}\" y=\"{:.1}\" text-anchor=\"end\">{mark}</text>", at + 4.0).unwrap();
        mark += (scale.top / 6.0).ceil();
    }
    let below = BOTTOM + 20.0;
    for size in sizes {
        let (at, words) = (scale.x(*size), grouped(*size));
        writeln!(out, "<text x=\"{at:.1}\" y=\"{below}\" text-anchor=\"middle\">{words}</text>").unwrap();
    }
    let last = BOTTOM + 40.0;
    let words = "drops in the ledger; dashed: aims";
    writeln!(out, "<text x=\"{RIGHT}\" y=\"{last}\" text-anchor=\"end\">{words}</text>").unwrap();
    out
}

/// One line, its points, its aim, and what it is called.
fn draw(out: &mut String, scale: &Scale, line: &Line, name_at: f64) {
    let Line { name, colour, aim, points } = line;
    let at = scale.y(*aim);
    writeln!(out, "<path d=\"M{LEFT} {at:.1}H{RIGHT}\" stroke=\"{colour}\" stroke-dasharray=\"4 4\"/>")
        .unwrap();
    let places: Vec<String> =
        points.iter().map(|(size, cost)| format!("{:.1} {:.1}", scale.x(*size), scale.y(*cost))).collect();
    let path = places.join("L");
    writeln!(out, "<path d=\"M{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"2\"/>").unwrap();
    for (size, cost) in points {
        let (x, y) = (scale.x(*size), scale.y(*cost));
        writeln!(out, "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3\" fill=\"{colour}\"/>").unwrap();
    }
    let last = points.last().map_or(1.0, |(_, cost)| *cost);
    let below = BOTTOM + 40.0;
    writeln!(out, "<text x=\"{name_at}\" y=\"{below}\" fill=\"{colour}\">{name}: {last:.2} times</text>")
        .unwrap();
}

/// `1,000,000`.
pub(super) fn grouped(number: usize) -> String {
    let digits = number.to_string();
    let mut out = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}
