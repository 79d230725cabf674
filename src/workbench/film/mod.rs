//! The oil film of a bearing at a clearance, by the tables of Raimondi and Boyd.
//!
//! A steady load, oil of one viscosity, a full round bearing without groove: an engine's bearing has none of these, so the
//! answer compares clearances with each other and with a rule of thumb; it is no proof that a bearing lives. It does not
//! know how viscosity falls with the temperature it computes, nor a bearing that is out of round.

mod table;

pub use table::{LENGTHS, Row, at, between};

use crate::workbench::SHEET_DECIDES;
use crate::workbench::answer::Answer;
use crate::workbench::given::{Amount, Faults, Given, Least};
use crate::workbench::number::{figure, short};
use crate::workbench::units::Quantity;
use std::f64::consts::PI;

const INCH: f64 = 25.4; // mm
/// Heat that a cubic metre of mineral oil takes up for a degree: 861 kg/m3 x 1758 J/(kg K), the textbook's oil.
const OIL: f64 = 1.513e6; // J/(m3 K)
const HORSEPOWER: f64 = 745.699_871_582_27; // W, 550 ft lbf a second
/// A rise beyond which the viscosity that was typed is no longer that of the oil in the bearing.
const HOT: f64 = 40.0; // degC
const MOST_CLEARANCES: usize = 6;

/// A bearing under load: lengths in mm, load in N, revolutions a second, viscosity in Pa s.
#[derive(Clone, Copy, Debug)]
pub struct Bearing {
    /// Journal.
    pub diameter: f64,
    /// Of the loaded surface.
    pub length: f64,
    /// Radial, half the clearance that is measured.
    pub radial: f64,
    /// Steady.
    pub load: f64,
    /// Of the journal.
    pub speed: f64,
    /// Dynamic.
    pub viscosity: f64,
}

/// What the film is like.
#[derive(Clone, Copy, Debug)]
pub struct Film {
    /// From the tables.
    pub row: Row,
    /// Least film, mm.
    pub least: f64,
    /// Friction torque, N m.
    pub torque: f64,
    /// Oil drawn into the bearing, l/min.
    pub flow: f64,
    /// Heat, W.
    pub heat: f64,
    /// How much warmer the oil leaves than it comes, degC.
    pub rise: f64,
}

impl Bearing {
    /// Load on the projected area, MPa.
    #[must_use]
    pub fn pressure(&self) -> f64 {
        self.load / (self.diameter * self.length)
    }

    /// Sommerfeld number (r/c)^2 mu N / P.
    #[must_use]
    pub fn sommerfeld(&self) -> f64 {
        (self.diameter / 2.0 / self.radial).powi(2) * self.viscosity * self.speed / (self.pressure() * 1e6)
    }

    /// The film, out of the tables' rows for its length; `None` where its Sommerfeld number is not in them.
    #[must_use]
    pub fn film(&self, rows: &[Row]) -> Option<Film> {
        let row = between(rows, self.sommerfeld())?;
        let radius = self.diameter / 2.0;
        let torque = row.friction * self.radial / radius * self.load * radius / 1_000.0;
        let flow = row.flow * radius * self.radial * self.speed * self.length; // mm3/s
        // The oil that leaves at the sides is warm on average half way round.
        let warmed = row.flow * (1.0 - row.side / 2.0);
        let rise = 4.0 * PI * self.pressure() * 1e6 * row.friction / (OIL * warmed);
        Some(Film {
            row,
            least: self.radial * (1.0 - row.eccentricity),
            torque,
            flow: flow * 60.0 / 1e6,
            heat: torque * 2.0 * PI * self.speed,
            rise,
        })
    }
}

/// Answers from `--diameter`, `--length`, `--clearance` (across, one or several), `--load`, `--speed` and `--viscosity`.
///
/// # Errors
/// Every fault of what was typed.
pub fn answer(given: &mut Given<'_>) -> Result<Answer, Faults> {
    let diameter = given.needed("--diameter", Quantity::Length, "the journal's diameter", "2.2488in");
    let length = given.needed("--length", Quantity::Length, "the length of the bearing", "0.85in");
    let load = given.needed("--load", Quantity::Force, "the load", "1500lbf");
    let speed = given.needed("--speed", Quantity::Speed, "the speed", "3000rpm");
    let viscosity = given.needed("--viscosity", Quantity::Viscosity, "the oil's viscosity when hot", "12cP");
    let clearances = clearances(given, diameter.as_ref());
    let read = diameter.zip(length).zip(load).zip(speed).zip(viscosity);
    let ((((diameter, length), load), speed), viscosity) = given.done(read)?;
    let bearing = |clearance: &Amount| Bearing {
        diameter: diameter.to("mm"),
        length: length.to("mm"),
        radial: clearance.to("mm") / 2.0,
        load: load.to("N"),
        speed: speed.to("rpm") / 60.0,
        viscosity: viscosity.to("cP") / 1_000.0,
    };
    let all: Vec<(String, Bearing)> =
        clearances.iter().map(|clearance| (clearance.show(), bearing(clearance))).collect();
    answered(&all)
}

fn clearances(given: &mut Given<'_>, diameter: Option<&Amount>) -> Vec<Amount> {
    let example = "0.0018in, the clearance across as it is measured";
    let name = "--clearance";
    match given.texts(name).len() {
        0 => given.faults.add(name, format!("the clearance is missing; a good one is {example}")),
        1..=MOST_CLEARANCES => {}
        more => given.faults.add(name, format!("{more} are too many; give at most {MOST_CLEARANCES}")),
    }
    let clearances = given.amounts(name, Quantity::Length, Least::Positive, example);
    let across = diameter.map_or(f64::INFINITY, |diameter| diameter.to("mm"));
    for clearance in &clearances {
        if clearance.to("mm") > across / 50.0 {
            let words =
                format!("{} is no clearance of such a journal; a good one is {example}", clearance.show());
            given.faults.add(name, words);
        }
    }
    clearances
}

fn answered(all: &[(String, Bearing)]) -> Result<Answer, Faults> {
    let mut faults = Faults::default();
    let mut answer = Answer { formula: formula(), source: source(), ..Answer::default() };
    let mut least = Vec::new();
    for (name, bearing) in all {
        let slender = bearing.length / bearing.diameter;
        let Some(rows) = at(slender) else {
            let words = format!(
                "the bearing is {} of the diameter long; the tables go from {} to {} of it",
                figure(slender, 3),
                LENGTHS.0,
                LENGTHS.1
            );
            faults.add("--length", words);
            break;
        };
        let Some(film) = bearing.film(&rows) else {
            faults.add("--clearance", outside(name, bearing, &rows));
            continue;
        };
        let several = if all.len() > 1 { format!("{name}: ") } else { String::new() };
        rows_of(&mut answer, &several, bearing, &film);
        steps(&mut answer, &several, bearing, &film);
        if film.rise > HOT {
            answer.notes.push(format!(
                "At {name} the oil would leave {} degC warmer than it came: long before that it is thinner than typed. \
                 Ask again with its viscosity half way up.",
                figure(film.rise, 2)
            ));
        }
        least.push(format!("{} in at {name}", thin(film.least / INCH)));
    }
    let mut answer = faults.or(Some(answer))?;
    if let Some((_, bearing)) = all.first() {
        let wanted = trumpler(bearing.diameter);
        answer.result(
            "rule of thumb, least film",
            vec![(figure(wanted, 3), "mm"), (thin(wanted / INCH), "in")],
        );
    }
    answer.title = format!("Least oil film {}", least.join(", "));
    answer.notes.extend([STEADY.to_owned(), TABLES.to_owned()]);
    answer.cautions.push(SHEET_DECIDES.to_owned());
    Ok(answer)
}

const STEADY: &str = "An engine's load swings and its bearings have grooves: compare clearances with it, do not prove a \
                      bearing. Viscosity is taken as typed: take it at the temperature the rise leads to.";
const TABLES: &str = "Read between the tables the film comes out up to 11 parts in 100 too thin, friction and flow are \
                      within 8.";

/// Why a Sommerfeld number is not in the tables, and what to do.
fn outside(name: &str, bearing: &Bearing, rows: &[Row]) -> String {
    let number = bearing.sommerfeld();
    let end = |row: Option<&Row>| row.map_or(0.0, |row| row.sommerfeld);
    let (light, heavy) = (end(rows.first()), end(rows.last()));
    let what = if number > light {
        "so light a load that the journal runs in the middle: the least film is more than 0.9 of half the clearance"
    } else {
        "so heavy a load, or so thin an oil, that the least film is under 0.03 of half the clearance: it would not carry"
    };
    format!(
        "at {name} the Sommerfeld number is {}, outside the tables ({} to {}): {what}",
        figure(number, 3),
        figure(heavy, 3),
        figure(light, 3)
    )
}

/// Least film that Trumpler (1966) asks of a steady bearing, mm: 0.0002 in and 0.00004 of the diameter.
fn trumpler(diameter: f64) -> f64 {
    0.0002 * INCH + 0.000_04 * diameter
}

fn rows_of(answer: &mut Answer, of: &str, bearing: &Bearing, film: &Film) {
    let mut row = |name: &str, values| answer.result(format!("{of}{name}"), values);
    row("Sommerfeld number", vec![(figure(bearing.sommerfeld(), 3), "")]);
    row("eccentricity", vec![(figure(film.row.eccentricity, 3), "")]);
    row("least film", vec![(figure(film.least, 3), "mm"), (thin(film.least / INCH), "in")]);
    let friction = film.torque / bearing.load / bearing.diameter * 2_000.0;
    row("friction coefficient", vec![(figure(friction, 3), "")]);
    row("heat", vec![(figure(film.heat, 3), "W"), (figure(film.heat / HORSEPOWER, 3), "hp")]);
    row(
        "oil drawn in",
        vec![(figure(film.flow, 3), "l/min"), (figure(film.flow / 0.016_387_064, 3), "cu in/min")],
    );
    row("warmer by", vec![(figure(film.rise, 2), "degC"), (figure(film.rise * 1.8, 2), "degF")]);
}

/// Inches to a millionth.
fn thin(inches: f64) -> String {
    format!("{inches:.6}")
}

fn steps(answer: &mut Answer, of: &str, b: &Bearing, film: &Film) {
    let (radius, row) = (b.diameter / 2.0, film.row);
    answer.step(format!(
        "{of}P = {} N / ({} x {} mm) = {} MPa; r/c = {} / {} = {}.",
        short(b.load, 5),
        short(b.diameter, 5),
        short(b.length, 5),
        figure(b.pressure(), 4),
        short(radius, 5),
        short(b.radial, 4),
        figure(radius / b.radial, 4)
    ));
    answer.step(format!(
        "S = {}^2 x {} Pa s x {} rev/s / {} Pa = {}.",
        figure(radius / b.radial, 4),
        short(b.viscosity, 4),
        short(b.speed, 4),
        figure(b.pressure() * 1e6, 4),
        figure(row.sommerfeld, 3)
    ));
    answer.step(format!(
        "Tables at l/d = {}: eccentricity {}, (r/c) f {}, Q/(r c N l) {}, Qs/Q {}.",
        figure(b.length / b.diameter, 3),
        figure(row.eccentricity, 3),
        figure(row.friction, 3),
        figure(row.flow, 3),
        figure(row.side, 3)
    ));
    answer.step(format!(
        "h0 = {} x (1 - {}) = {} mm.",
        short(b.radial, 4),
        figure(row.eccentricity, 3),
        figure(film.least, 3)
    ));
    answer.step(format!(
        "Torque = {} / {} x {} N x {} mm = {} N m; x 2 pi x {} rev/s = {} W.",
        figure(row.friction, 3),
        figure(radius / b.radial, 4),
        short(b.load, 5),
        short(radius, 5),
        figure(film.torque, 3),
        short(b.speed, 4),
        figure(film.heat, 3)
    ));
    answer.step(format!(
        "dT = 4 pi x {} MPa x {} / (1.513 MJ/(m3 K) x {} x (1 - {}/2)) = {} degC.",
        figure(b.pressure(), 4),
        figure(row.friction, 3),
        figure(row.flow, 3),
        figure(row.side, 3),
        figure(film.rise, 2)
    ));
}

fn formula() -> Vec<String> {
    [
        "S = (r/c)^2 x mu N / P, P = W / (l d), c half the clearance across, N in revolutions a second",
        "h0 = c (1 - eccentricity); f = [(r/c) f] c / r; torque = f W r",
        "Q = [Q/(r c N l)] r c N l; dT = 4 pi P [(r/c) f] / (oil heat x [Q/(r c N l)] x (1 - Qs/(2 Q)))",
        "rule of thumb for a steady bearing: h0 at least 0.0002 in + 0.00004 d",
    ]
    .map(str::to_owned)
    .into()
}

fn source() -> Vec<String> {
    [
        "A. A. Raimondi and J. Boyd, ASLE Transactions 1 (1958), full bearings of l/d 1, 1/2 and 1/4, partly recalled and \
         compared with the Reynolds equation; between them by a parabola of d/l, between their rows in a straight line.",
        "Rise of temperature and oil heat: as in textbooks of machine design. Rule of thumb: P. R. Trumpler, Design of \
         Film Bearings (1966), recalled.",
    ]
    .map(str::to_owned)
    .into()
}
