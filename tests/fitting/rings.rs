//! Rings to bores, and weights.

use crate::support::*;
use crate::{fit, inches, short_block};
use benchdrop::metrology::{Exact, Unit};
use benchdrop::planning::{Fitting, RingPlace};
use serde_json::{Value, json};

/// Bores as of the demonstration, of which the third tapers by 0.0040.
fn bores() -> Value {
    let x = [[36138, 36126, 36114], [36140, 36127, 36114], [36155, 36139, 36115], [36136, 36125, 36113]];
    let y = [[36128, 36120, 36112], [36130, 36121, 36112], [36134, 36125, 36112], [36127, 36120, 36111]];
    let mut readings = Vec::new();
    for (position, (x, y)) in x.iter().zip(&y).enumerate() {
        for (at, station) in ["top", "middle", "bottom"].into_iter().enumerate() {
            for (direction, value) in [("X", x[at]), ("Y", y[at])] {
                readings.push(reading(
                    "bore",
                    &(position + 1).to_string(),
                    station,
                    direction,
                    &inches(value),
                ));
            }
        }
    }
    measured(20, "as received", "BORE", readings)
}

fn ring(position: &str, bottom: &str) -> Value {
    measured(
        40,
        "at assembly",
        "FEELER",
        vec![reading("top ring gap", position, "bottom of travel", "feeler", bottom)],
    )
}

fn top_rings(fitting: &Fitting) -> &[RingPlace] {
    &fitting.rings.iter().find(|set| set.feature == "top ring gap").unwrap().places
}

fn shown(value: Exact) -> String {
    value.show(Unit::Inch)
}

/// H1 bore 3: pi times its taper of 0.0040 is 0.0126; a ring filed to the minimum at the bottom may not pass the maximum
/// at the top.
#[test]
fn the_gap_follows_the_bore_by_pi() {
    let fitting = fit(&[short_block(false), vec![bores()]].concat());
    let rings = top_rings(&fitting);
    let wider: Vec<String> = rings.iter().map(|place| shown(place.wider)).collect();
    // pi times 0.0024, 0.0026, 0.0040, 0.0023.
    let rounded: Vec<String> =
        wider.iter().map(|text| format!("{:.4}", text.parse::<f64>().unwrap())).collect();
    assert_eq!(rounded, ["0.0075", "0.0082", "0.0126", "0.0072"]);
    assert!(rings.iter().all(|place| place.ring.is_none()));
    let (low, high) = rings[2].file_to.unwrap();
    assert_eq!((shown(low), shown(high)), ("0.0130".to_owned(), "0.0150".to_owned()));
}

/// What is too small is filed; a ring goes to a larger bore where it then needs less; what is wide enough stays.
#[test]
fn rings_are_filed_least() {
    // Ring 1 was read in bore 1 at the bottom, mean 3.6113.
    let fitting = fit(&[short_block(false), vec![bores(), ring("1", "0.0100")]].concat());
    let here = |position: usize| top_rings(&fitting)[position].ring;
    // Bore 3 is larger at its bottom by 0.0001 in X: 0.0003 less to file, but not in Y, so the least gap is the same.
    let place = here(0).unwrap();
    assert_eq!((place.label, shown(place.file_off)), (0, "0.0030".to_owned()));
    // Along bore 1 it grows by pi times 0.0024.
    assert_eq!(
        (shown(place.gap.0), format!("{:.4}", shown(place.gap.1).parse::<f64>().unwrap())),
        ("0.0100".to_owned(), "0.0175".to_owned())
    );
    // In bore 4, smaller by 0.0001, it would close by 0.0003: two rings change places where that saves filing.
    let both = [short_block(false), vec![bores(), ring("1", "0.0134"), ring("4", "0.0128")]].concat();
    let fitting = fit(&both);
    let labels: Vec<Option<usize>> =
        top_rings(&fitting).iter().map(|place| place.ring.map(|ring| ring.label)).collect();
    assert_eq!(labels.iter().flatten().count(), 2);
    let filed: Vec<String> =
        top_rings(&fitting).iter().filter_map(|place| place.ring).map(|ring| shown(ring.file_off)).collect();
    assert_eq!(filed, ["0.0000", "0.0000"], "ring 4 is wide enough in a larger bore: {labels:?}");
}

/// Weights: down to the lightest, and how much at least, of H1's 2 g.
#[test]
fn weights_are_matched_to_the_lightest() {
    let weigh = |weights: [&str; 4]| {
        let readings = weights
            .iter()
            .enumerate()
            .map(|(at, weight)| reading("piston weight", &(at + 1).to_string(), "scale", "weight", weight));
        let mut set = measured(30, "as received", "SCALE", readings.collect());
        set["body"]["unit"] = "g".into();
        [short_block(false), vec![set]].concat()
    };
    let fitting = fit(&weigh(["548.0", "551.5", "549.0", "550.0"]));
    let set = fitting.weights.iter().find(|set| set.feature == "piston weight").unwrap();
    let show = |value: Exact| value.show(Unit::Gram);
    assert_eq!((show(set.spread), show(set.allowed)), (show_of("3.5"), show_of("2")));
    let off: Vec<(String, String)> =
        set.places.iter().map(|place| (show(place.to_lightest), show(place.at_least))).collect();
    let wanted = [("0", "0"), ("3.5", "1.5"), ("1", "0"), ("2", "0")].map(|(a, b)| (show_of(a), show_of(b)));
    assert_eq!(off, wanted);
}

fn show_of(text: &str) -> String {
    benchdrop::metrology::Length::parse(text, Unit::Gram).unwrap().exact().show(Unit::Gram)
}

/// Nothing is said before the inspection is done, nor once the engine is together.
#[test]
fn only_of_an_engine_that_goes_together_next() {
    let mut drops = [short_block(false), vec![bores()]].concat();
    drops.push(drop_at("sign-off", 200, json!({"step": "reassembly", "name": "LM"})));
    assert!(fit(&drops).is_empty());
    drops.retain(|drop| drop["kind"] != "sign-off");
    assert!(fit(&drops).is_empty());
}
