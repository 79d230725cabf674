//! Compression ratio of each cylinder from its own volumes.
//!
//! CR = (Vs + Vc) / Vc with Vs the swept volume and Vc all that is left above the piston at top dead centre. Volumes are
//! those of the parts as they are: skims, valve recession and what carbon takes are in them only if they were measured.

use crate::workbench::SHEET_DECIDES;
use crate::workbench::answer::Answer;
use crate::workbench::given::{Amount, Faults, Given, Least};
use crate::workbench::number::{figure, short};
use crate::workbench::units::Quantity;
use std::f64::consts::FRAC_PI_4;

const CUBIC_INCH: f64 = 16.387_064; // cc
/// A shop's engines have at most so many.
const MOST_CYLINDERS: usize = 24;

/// Volume of a round hole in cc; sizes in mm.
#[must_use]
pub fn round(across: f64, height: f64) -> f64 {
    FRAC_PI_4 * across * across * height / 1_000.0
}

/// One cylinder; lengths in mm, volumes in cc.
#[derive(Clone, Copy, Debug)]
pub struct Cylinder {
    /// Bore.
    pub bore: f64,
    /// Stroke.
    pub stroke: f64,
    /// Chamber in the head.
    pub chamber: f64,
    /// Hole of the gasket, and its thickness tightened.
    pub gasket: (f64, f64),
    /// Crown below the deck; below zero where it stands proud.
    pub deck: f64,
    /// Dish less dome of the piston.
    pub dish: f64,
    /// Above the top ring, beside the crown.
    pub crevice: f64,
}

impl Cylinder {
    /// Swept volume, cc.
    #[must_use]
    pub fn swept(&self) -> f64 {
        round(self.bore, self.stroke)
    }

    /// What is left above the piston at top dead centre, cc.
    #[must_use]
    pub fn clearance(&self) -> f64 {
        let gasket = round(self.gasket.0, self.gasket.1);
        self.chamber + gasket + round(self.bore, self.deck) + self.dish + self.crevice
    }

    /// Compression ratio.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        ratio(self.swept(), self.clearance())
    }
}

/// Compression ratio of a swept and a clearance volume in one unit.
#[must_use]
pub fn ratio(swept: f64, clearance: f64) -> f64 {
    (swept + clearance) / clearance
}

/// Mean piston speed in mm/s of a stroke in mm at so many revolutions a second: two strokes a turn.
#[must_use]
pub fn piston_speed(stroke: f64, speed: f64) -> f64 {
    2.0 * stroke * speed
}

/// One option's values: none, one for all cylinders, or one for each.
struct Column(Vec<f64>);

impl Column {
    fn of(&self, cylinder: usize) -> f64 {
        self.0.get(cylinder).or(self.0.first()).copied().unwrap_or(0.0)
    }
}

/// All options, each read into the unit of [`Cylinder`].
struct Columns {
    bore: Column,
    stroke: Column,
    chamber: Column,
    hole: Column,
    gasket: Column,
    deck: Column,
    proud: Column,
    dish: Column,
    dome: Column,
    crevice: Column,
}

impl Columns {
    fn read(given: &mut Given<'_>) -> Self {
        let needed = [
            ("--bore", Quantity::Length, "mm", "the bore", "3.6825in"),
            ("--stroke", Quantity::Length, "mm", "the stroke", "3.480in"),
            ("--chamber", Quantity::Volume, "cc", "the chamber's volume", "58.0cc"),
            ("--gasket-bore", Quantity::Length, "mm", "the hole of the gasket", "3.690in"),
            ("--gasket", Quantity::Length, "mm", "the gasket's thickness when tightened", "0.040in"),
        ];
        let [bore, stroke, chamber, hole, gasket] = needed.map(|(name, quantity, symbol, what, example)| {
            if given.texts(name).is_empty() {
                given.faults.add(name, format!("{what} is missing; a good one is {example}"));
            }
            column(given.amounts(name, quantity, Least::Positive, example), symbol)
        });
        let maybe = [
            ("--deck", Quantity::Length, "mm", "0.010in below the deck, or --proud"),
            ("--proud", Quantity::Length, "mm", "0.60mm above the deck, or --deck"),
            ("--dish", Quantity::Volume, "cc", "4.0cc"),
            ("--dome", Quantity::Volume, "cc", "2.5cc"),
            ("--crevice", Quantity::Volume, "cc", "0.5cc"),
        ];
        let [deck, proud, dish, dome, crevice] = maybe.map(|(name, quantity, symbol, example)| {
            column(given.amounts(name, quantity, Least::Zero, example), symbol)
        });
        if !deck.0.is_empty() && !proud.0.is_empty() {
            let words = "give --deck where the pistons stand below, --proud where they stand above, not both";
            given.faults.add("--proud", words);
        }
        Self { bore, stroke, chamber, hole, gasket, deck, proud, dish, dome, crevice }
    }

    fn cylinder(&self, at: usize) -> Cylinder {
        Cylinder {
            bore: self.bore.of(at),
            stroke: self.stroke.of(at),
            chamber: self.chamber.of(at),
            gasket: (self.hole.of(at), self.gasket.of(at)),
            deck: self.deck.of(at) - self.proud.of(at),
            dish: self.dish.of(at) - self.dome.of(at),
            crevice: self.crevice.of(at),
        }
    }
}

/// Answers from `--bore`, `--stroke`, `--chamber`, `--gasket-bore`, `--gasket`, and `--deck` or `--proud`, `--dish`,
/// `--dome`, `--crevice`, `--cylinders` and `--speed` where they are given. Lengths and volumes take one value, or one a
/// cylinder.
///
/// # Errors
/// Every fault of what was typed.
pub fn answer(given: &mut Given<'_>) -> Result<Answer, Faults> {
    let columns = Columns::read(given);
    let speed = given.maybe("--speed", Quantity::Speed, Least::Positive, "3000rpm");
    let count = cylinders(given);
    let count = given.done(count)?;
    let all: Vec<Cylinder> = (0..count).map(|at| columns.cylinder(at)).collect();
    for (at, cylinder) in all.iter().enumerate().filter(|(_, cylinder)| cylinder.clearance() <= 0.0) {
        let left = figure(cylinder.clearance(), 4);
        let words =
            format!("cylinder {} has {left} cc left above its piston; look at --proud and --dome", at + 1);
        given.faults.add("--chamber", words);
    }
    let mut answer = given.done(Some(answered(&all)))?;
    if let Some(speed) = speed {
        fast(&mut answer, columns.stroke.of(0), speed.to("rpm") / 60.0);
    }
    Ok(answer)
}

/// The mean piston speed of a stroke in mm at so many revolutions a second.
fn fast(answer: &mut Answer, stroke: f64, speed: f64) {
    let mean = piston_speed(stroke, speed);
    let (metres, feet) = (figure(mean / 1_000.0, 3), figure(mean * 60.0 / 304.8, 4));
    answer.formula.push("mean piston speed = 2 x stroke x speed".to_owned());
    answer.step(format!("2 x {} mm x {} rev/s = {metres} m/s.", short(stroke, 6), short(speed, 5)));
    answer.result("mean piston speed", vec![(metres, "m/s"), (feet, "ft/min")]);
}

fn column(amounts: Vec<Amount>, symbol: &str) -> Column {
    Column(amounts.iter().map(|amount| amount.to(symbol)).collect())
}

/// How many cylinders: as said, else as many as the longest option has values; options agree or have one value.
fn cylinders(given: &mut Given<'_>) -> Option<usize> {
    const OPTIONS: [&str; 10] = [
        "--bore",
        "--stroke",
        "--chamber",
        "--gasket-bore",
        "--gasket",
        "--deck",
        "--proud",
        "--dish",
        "--dome",
        "--crevice",
    ];
    let longest = OPTIONS.iter().map(|name| given.texts(name).len()).max().unwrap_or(1);
    let said = match given.text("--cylinders").map(|text| (text, text.parse::<usize>())) {
        Some((_, Ok(count))) if (1..=MOST_CYLINDERS).contains(&count) => Some(count),
        Some((text, _)) => {
            given
                .faults
                .add("--cylinders", format!("{text:?} is no number from 1 to {MOST_CYLINDERS}, such as 4"));
            None
        }
        None => None,
    };
    let count = said.unwrap_or(longest.clamp(1, MOST_CYLINDERS));
    for name in OPTIONS {
        let typed = given.texts(name).len();
        if typed > 1 && typed != count {
            given
                .faults
                .add(name, format!("{typed} values for {count} cylinders; give one, or one for each"));
        }
    }
    Some(count)
}

fn answered(all: &[Cylinder]) -> Answer {
    let ratios: Vec<f64> = all.iter().map(Cylinder::ratio).collect();
    let least = ratios.iter().copied().fold(f64::INFINITY, f64::min);
    let most = ratios.iter().copied().fold(0.0, f64::max);
    let swept: f64 = all.iter().map(Cylinder::swept).sum();
    let mut answer = Answer {
        formula: vec![
            "CR = (Vs + Vc) / Vc".to_owned(),
            "Vs = pi/4 x bore^2 x stroke".to_owned(),
            "Vc = chamber + pi/4 x gasket bore^2 x gasket + pi/4 x bore^2 x deck + dish - dome + crevice; deck below \
             zero where the piston stands proud"
                .to_owned(),
        ],
        source: vec!["Geometry of the cylinder; textbook definition of the compression ratio.".to_owned()],
        notes: vec![
            "What the valves and the crown take away, unless the volumes were measured with them. Knock, fuel and the \
             strength of the engine: the sheet has the ratio it wants."
                .to_owned(),
        ],
        cautions: vec![SHEET_DECIDES.to_owned()],
        ..Answer::default()
    };
    for (at, (cylinder, ratio)) in all.iter().zip(&ratios).enumerate() {
        let name =
            if all.len() == 1 { "compression ratio".to_owned() } else { format!("cylinder {}", at + 1) };
        answer.result(
            name,
            vec![(format!("{ratio:.2}"), "to 1"), (figure(cylinder.clearance(), 4), "cc left")],
        );
    }
    if all.len() > 1 {
        answer.result("least", vec![(format!("{least:.2}"), "to 1")]);
        answer.result("most", vec![(format!("{most:.2}"), "to 1")]);
        answer.result("spread", vec![(format!("{:.2}", most - least), "")]);
        answer
            .result("displacement", vec![(figure(swept, 5), "cc"), (figure(swept / CUBIC_INCH, 5), "cu in")]);
    }
    if let Some(first) = all.first() {
        let each = first.swept();
        answer.result(
            "swept volume of one",
            vec![(figure(each, 5), "cc"), (figure(each / CUBIC_INCH, 5), "cu in")],
        );
    }
    steps(&mut answer, all);
    let (least, most) = (format!("{least:.2}:1"), format!("{most:.2}:1"));
    let range = if least == most { least } else { format!("{least} to {most}") };
    answer.title = format!("Compression ratio {range}");
    answer
}

/// The numbers of each cylinder that differs from the one before it.
fn steps(answer: &mut Answer, all: &[Cylinder]) {
    let mut last = String::new();
    for (at, cylinder) in all.iter().enumerate() {
        let c = cylinder;
        let (swept, clearance) = (figure(c.swept(), 5), figure(c.clearance(), 5));
        let words = format!(
            "Vs = pi/4 x {}^2 x {} mm3 = {swept} cc. Vc = {} + {} + {} + {} + {} = {clearance} cc. CR = ({swept} + \
             {clearance}) / {clearance} = {:.3}.",
            short(c.bore, 6),
            short(c.stroke, 6),
            short(c.chamber, 5),
            figure(round(c.gasket.0, c.gasket.1), 4),
            signed(round(c.bore, c.deck)),
            signed(c.dish),
            short(c.crevice, 3),
            c.ratio()
        );
        if words != last {
            answer.step(format!("cylinder {}: {words}", at + 1));
        }
        last = words;
    }
}

/// A term that may be below zero, so that the sum reads well.
fn signed(value: f64) -> String {
    let digits = short(value, 4);
    if value < 0.0 { format!("({digits})") } else { digits }
}
