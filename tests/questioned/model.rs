//! Honest sets of readings of an invented engine, from its written sheet and the trade's description of wear (notes B
//! and F), not from the rules' code. Everything in units of the sheet.
//!
//! An engine has a life, each surface its share of it, one in twenty is worn twice as far (dirt, want of oil). Wear is
//! counted in what reuse allows. Bores are worn most at the top across the pin, guides at their ends, housings stretched
//! upright; journals are oval and tapered; springs have gone flat, seats sunk, heads and decks were cut before. A reading
//! has the part shared by its set (zero, setting, a degree or so of temperature) and its own, and is rounded to what the
//! gauge shows. One fresh surface in a hundred missed its size: that is a finding, and no slip. Wear is never more than three and a half times the allowance: what is ruined beyond is not honest wear.

use crate::chance::Chance;
use serde_json::{Value, json};

pub const SHEETS: [&str; 2] = [
    include_str!("../../schemas/examples/sheet.v1/pass/ov-24.json"),
    include_str!("../../schemas/examples/sheet.v1/pass/kd-3.json"),
];

/// What is read when.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Scene {
    /// Worn, never cut.
    AsReceived,
    /// Worn, and cut to a size in an earlier rebuild whose stamps were read.
    RebuiltBefore,
    /// Cut to a size, or new, as it goes together.
    Fresh,
}

pub const SCENES: [Scene; 3] = [Scene::AsReceived, Scene::RebuiltBefore, Scene::Fresh];

/// A feature of a written sheet.
pub struct Feature {
    pub key: String,
    pub part: String,
    pub group: String,
    pub shape: String,
    pub unit: String,
    pub positions: Vec<String>,
    pub stations: Vec<String>,
    pub unworn: Vec<String>,
    pub directions: Vec<String>,
    pub row: Value,
    pub sizes: Value,
}

/// One reading: station, direction, value.
#[derive(Clone)]
pub struct Read {
    pub station: String,
    pub direction: String,
    pub value: f64,
}

/// A gauge of the shop: mark, instrument, unit, U, shared u, what it shows.
pub struct Gauge {
    pub mark: &'static str,
    pub expanded: f64,
    pub shared: f64,
    pub shows: f64,
}

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

fn list(value: &Value) -> Vec<String> {
    value.as_array().into_iter().flatten().map(text).collect()
}

pub fn number(value: &Value) -> Option<f64> {
    value.as_str().and_then(|digits| digits.parse().ok())
}

/// Every feature of a sheet.
pub fn features(sheet: &Value) -> Vec<Feature> {
    let body = &sheet["body"];
    let of = |feature: &Value| Feature {
        key: text(&feature["feature"]),
        part: text(&feature["part"]),
        group: text(&feature["group"]),
        shape: text(&feature["shape"]),
        unit: feature["unit"].as_str().or(body["unit"].as_str()).unwrap().to_owned(),
        positions: list(&feature["positions"]),
        stations: list(&feature["stations"]),
        unworn: list(&feature["unworn"]),
        directions: list(&feature["directions"]),
        row: feature["rows"][0].clone(),
        sizes: feature["sizes"].clone(),
    };
    body["features"].as_array().unwrap().iter().map(of).collect()
}

/// Uniform from 0 to 1.
pub fn share(chance: &mut Chance) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "53 bits fit a double")]
    let value = chance.between(0, 1 << 53) as f64 / (1_u64 << 53) as f64;
    value
}

pub fn within(chance: &mut Chance, low: f64, high: f64) -> f64 {
    low + (high - low) * share(chance)
}

/// Normal, by the sum of twelve uniform numbers less six.
fn normal(chance: &mut Chance) -> f64 {
    std::iter::repeat_with(|| share(chance)).take(12).sum::<f64>() - 6.0
}

/// Somewhere inside, most often about the middle.
fn made(chance: &mut Chance, low: f64, high: f64) -> f64 {
    low + (high - low) * (share(chance) + share(chance)) / 2.0
}

/// The gauges, with trade notes F3's figures; in millimetres for lengths, else in their unit.
const GAUGES: [Gauge; 11] = [
    Gauge { mark: "MIC", expanded: 0.00635, shared: 0.0019, shows: 0.0 },
    Gauge { mark: "BORE", expanded: 0.0089, shared: 0.0037, shows: 0.0 },
    Gauge { mark: "BALL", expanded: 0.0038, shared: 0.0014, shows: 0.0 },
    Gauge { mark: "HOLE", expanded: 0.0102, shared: 0.0030, shows: 0.0 },
    Gauge { mark: "FEEL", expanded: 0.0200, shared: 0.0, shows: 0.001 },
    Gauge { mark: "DIAL", expanded: 0.0127, shared: 0.0, shows: 0.0005 },
    Gauge { mark: "CALI", expanded: 0.0380, shared: 0.0100, shows: 0.001 },
    Gauge { mark: "TEST", expanded: 3.0, shared: 0.5, shows: 1.0 },
    Gauge { mark: "BURE", expanded: 0.3, shared: 0.05, shows: 0.1 },
    Gauge { mark: "SCAL", expanded: 0.6, shared: 0.1, shows: 0.5 },
    Gauge { mark: "DEEP", expanded: 0.0127, shared: 0.0030, shows: 0.0005 },
];

impl Feature {
    pub fn is_diameter(&self) -> bool {
        ["shaft", "bore", "wall"].contains(&self.shape.as_str())
    }

    fn is_length(&self) -> bool {
        ["in", "mm"].contains(&self.unit.as_str())
    }

    fn limit(&self, column: &str, side: &str) -> Option<f64> {
        number(&self.row[column][side])
    }

    pub fn gauge(&self) -> &'static Gauge {
        let small = self.middle() * self.scale() < 25.0;
        let direction = self.directions[0].as_str();
        let mark = match (self.shape.as_str(), self.unit.as_str(), direction) {
            (_, "lbf", _) => "TEST",
            (_, "cc", _) => "BURE",
            (_, "g", _) => "SCAL",
            ("wall", ..) => "BALL",
            ("shaft", ..) => "MIC",
            ("bore", ..) if small => "HOLE",
            ("bore", ..) => "BORE",
            (_, _, "feeler" | "straightedge" | "6 in straightedge") => "FEEL",
            (_, _, "indicator" | "full swing" | "diametral" | "per 6 in") => "DIAL",
            (_, _, "free" | "widest" | "thinnest" | "ultrasonic" | "installed" | "overall" | "lean") => {
                "CALI"
            }
            _ => "DEEP",
        };
        GAUGES.iter().find(|gauge| gauge.mark == mark).unwrap()
    }

    /// Millimetres in one of its unit; 1 for what is no length.
    fn scale(&self) -> f64 {
        if self.unit == "in" { 25.4 } else { 1.0 }
    }

    /// What its gauge shows: a tenth or a micron for micrometers.
    pub fn shows(&self) -> f64 {
        let gauge = self.gauge();
        match (gauge.shows > 0.0, self.is_length(), self.unit == "mm") {
            (true, true, true) => gauge.shows * 10.0,
            (true, ..) => gauge.shows,
            (false, _, true) => 0.001,
            (false, ..) => 0.0001,
        }
    }

    /// Smallest and largest new, in the middle of nothing where the sheet has no such limit.
    pub fn fresh(&self) -> (f64, f64) {
        let nominal = number(&self.row["nominal"]);
        let (min, max) = (self.limit("new", "min"), self.limit("new", "max"));
        let (min, max) = (min.or(nominal), max.or(nominal));
        match (min, max) {
            (Some(min), Some(max)) => (min, max),
            (None, Some(max)) => (0.0, max),
            // Only a limit of wear: new is well inside it. A weight has none at all.
            _ => match self.unit.as_str() {
                "g" => (499.0, 501.0),
                _ => (0.0, self.limit("service", "max").unwrap() / 2.0),
            },
        }
    }

    /// What it is finished to at a size, before the step is added.
    fn finish(&self) -> (f64, f64) {
        let finish = &self.sizes["finish"];
        number(&finish["min"]).zip(number(&finish["max"])).unwrap_or_else(|| self.fresh())
    }

    fn middle(&self) -> f64 {
        let (low, high) = self.fresh();
        f64::midpoint(low, high)
    }

    /// What reuse allows: to the service limit, else a thousandth of the size (general wear table), twice the width of what
    /// is new, or half of a gap.
    fn allowance(&self) -> f64 {
        let (low, high) = self.fresh();
        let worn = match self.shape.as_str() {
            "bore" | "grows" => self.limit("service", "max").map(|service| service - high),
            _ => self.limit("service", "min").map(|service| low - service),
        };
        let generic = if self.is_diameter() { low / 2000.0 } else { (high - low) * 0.5 };
        worn.filter(|worn| *worn > 0.0).unwrap_or(generic)
    }

    /// Steps that it is machined to or bought in.
    pub fn steps(&self) -> Vec<String> {
        list(&self.sizes["steps"])
    }

    /// `0.010 under`.
    pub fn size_words(&self, step: &str) -> String {
        format!("{step} {}", self.sizes["sense"].as_str().unwrap())
    }

    pub fn shift(&self, step: Option<&str>) -> f64 {
        let Some(step) = step else { return 0.0 };
        let step: f64 = step.parse().unwrap();
        let sign = if self.shape == "shaft" && self.sizes["sense"] == "under" { -1.0 } else { 1.0 };
        sign * step * if self.sizes["halved"] == true { 0.5 } else { 1.0 }
    }

    /// Limits outside of which a reading is beyond everything the sheet says, at a size.
    pub fn widest(&self, step: Option<&str>) -> (f64, f64) {
        let (mut low, mut high) = self.fresh();
        for column in ["service", "after-work"] {
            low = self.limit(column, "min").map_or(low, |min| min.min(low));
            high = self.limit(column, "max").map_or(high, |max| max.max(high));
        }
        (low + self.shift(step), high + self.shift(step))
    }

    /// Places that are read: stations with their directions, and the unworn band.
    fn places(&self) -> Vec<(usize, usize)> {
        let stations = self.stations.len() + self.unworn.len();
        (0..stations).flat_map(|s| (0..self.directions.len()).map(move |d| (s, d))).collect()
    }

    /// An honest set; `life` is the engine's, 0 for what is fresh.
    pub fn honest(&self, chance: &mut Chance, life: f64, step: Option<&str>) -> Vec<Read> {
        let gauge = self.gauge();
        let (low, high) = self.fresh();
        let lift = self.row["characteristic"] == "lift";
        let (made_low, made_high) = step.map_or((low, high), |_| self.finish());
        let made = made(chance, made_low, made_high);
        // One fresh surface in a hundred missed its size, by up to half the width of its limits.
        let missed = life == 0.0 && share(chance) < 0.01;
        let by = if missed { within(chance, 0.0, 0.5) * (made_high - made_low) } else { 0.0 };
        let made = if by == 0.0 {
            made
        } else if share(chance) < 0.5 {
            made_low - by
        } else {
            made_high + by
        };
        let fresh = made + self.shift(step);
        let severe = if share(chance) < 0.05 { 2.0 } else { 1.0 };
        let wear = (life * within(chance, 0.5, 1.5) * severe).min(3.5) * self.allowance();
        let cut_before = if self.row["after-work"]["min"].is_string() && life > 0.0 && share(chance) < 0.2 {
            within(chance, 0.2, 0.9) * (low - self.limit("after-work", "min").unwrap()).max(0.0)
        } else {
            0.0
        };
        let scale = self.scale();
        let warmth = if self.is_length() { normal(chance) * 11e-6 * fresh } else { 0.0 };
        let shared = normal(chance) * gauge.shared / scale + warmth;
        let own = ((gauge.expanded / 2.0).powi(2) - gauge.shared.powi(2)).sqrt() / scale;
        // A feeler blade is chosen, not scattered.
        let own = if gauge.mark == "FEEL" { own / 2.0 } else { own };
        let form = Form::of(self, chance);
        let places = self.places();
        places
            .into_iter()
            .map(|(station, direction)| {
                let worn = wear * form.worn(self, chance, station, direction);
                let sign = match self.shape.as_str() {
                    "bore" | "grows" => 1.0,
                    "either" => form.way,
                    _ => -1.0,
                };
                let spread = (high - low) * 0.1 * normal(chance) * if self.is_diameter() { 0.5 } else { 1.0 };
                let part = lift.then(|| number(&self.row["stack"][direction]["new"]["min"])).flatten();
                let shaped = part.unwrap_or(fresh);
                let mut value = shaped + spread + sign * worn - cut_before + shared + own * normal(chance);
                let positive = low >= 0.0 && !["either"].contains(&self.shape.as_str());
                if positive {
                    value = value.max(0.0);
                }
                let shows = self.shows();
                let name = self.stations.iter().chain(&self.unworn).nth(station).unwrap();
                Read {
                    station: name.clone(),
                    direction: self.directions[direction].clone(),
                    value: (value / shows).round() * shows,
                }
            })
            .collect()
    }
}

/// How wear is spread over the places of one surface.
struct Form {
    level: Vec<f64>,
    direction: Vec<f64>,
    way: f64,
}

impl Form {
    fn of(feature: &Feature, chance: &mut Chance) -> Self {
        let stations = feature.stations.len();
        let mut level: Vec<f64> = match (feature.shape.as_str(), feature.key.as_str(), stations) {
            // Below the ridge most, at the bottom of ring travel hardly.
            ("bore", "bore", 3) => vec![1.0, within(chance, 0.35, 0.65), within(chance, 0.05, 0.3)],
            // Bell-mouthed guides.
            ("bore", _, 3) => vec![1.0, within(chance, 0.3, 0.6), within(chance, 0.6, 1.0)],
            // A pin wears in its bosses or in its rod.
            ("shaft", _, 3) if feature.directions.len() == 1 => {
                (0..3).map(|_| within(chance, 0.2, 1.0)).collect()
            }
            ("shaft", _, 3) => {
                vec![within(chance, 0.5, 1.0), within(chance, 0.3, 0.7), within(chance, 0.5, 1.0)]
            }
            _ => (0..stations).map(|_| within(chance, 0.6, 1.0)).collect(),
        };
        if stations == 2 && share(chance) < 0.5 {
            level.reverse();
        }
        level.extend(feature.unworn.iter().map(|_| 0.0));
        let direction = match (feature.shape.as_str(), feature.directions.len()) {
            ("bore", 3) => vec![1.0, within(chance, 0.1, 0.5), within(chance, 0.1, 0.5)],
            // Read as largest and smallest of the plane.
            ("shaft", 2) => vec![within(chance, 0.3, 0.9), 1.0],
            ("bore", 2) => vec![1.0, within(chance, 0.4, 0.8)],
            (_, n) => vec![1.0; n],
        };
        Self { level, direction, way: if share(chance) < 0.5 { 1.0 } else { -1.0 } }
    }

    fn worn(&self, feature: &Feature, chance: &mut Chance, station: usize, direction: usize) -> f64 {
        let lines = feature.shape == "grows" && feature.stations.len() > 2;
        let own = if lines { within(chance, 0.2, 1.0) } else { within(chance, 0.9, 1.1) };
        self.level[station] * self.direction[direction] * own
    }
}

/// The house rules and gauges that the model reads with.
pub fn house() -> Vec<Value> {
    let unit = |mark: &str| match mark {
        "TEST" => "lbf",
        "BURE" => "cc",
        "SCAL" => "g",
        _ => "mm",
    };
    let instruments: Vec<Value> = GAUGES
        .iter()
        .map(|g| {
            let mut instrument = json!({"instrument": g.mark, "unit": unit(g.mark), "transfer": "0",
                "expanded": format!("{:.5}", g.expanded), "setting": format!("{:.5}", g.shared)});
            if g.mark == "FEEL" {
                instrument["interval"] = true.into();
            }
            instrument
        })
        .collect();
    let rules = crate::support::shop_drop(
        "house-rules",
        0,
        json!({"revision": 1, "probability": "0.95", "instruments": instruments}),
    );
    let gauges = GAUGES.iter().map(|g| crate::support::gauge(1, g.mark, g.mark, None));
    gauges.chain([rules]).collect()
}
