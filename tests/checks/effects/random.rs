//! Random cuts of the first engine against a second, slow computation in plain doubles from the definitions.

use super::{cuts, exactly, of, one, ov24, plain_ratio, value};
use benchdrop::judgement::Judgement;
use benchdrop::planning::effects::{Amount, Cut, What, effects};
use benchdrop::shop::Job;
use proptest::prelude::*;
use std::sync::LazyLock;

/// Folding an engine takes longer than all its effects.
static ENGINE: LazyLock<(Job, Judgement)> = LazyLock::new(ov24);

/// Some cuts of the first engine, in ten-thousandths of an inch.
#[derive(Clone, Debug)]
struct SomeCuts {
    head: i64,
    deck: i64,
    mains: Vec<i64>,
    rods: Vec<i64>,
    over: Vec<usize>,
}

const OVER: [&str; 5] = ["", "0.020 over", "0.030 over", "0.040 over", "0.060 over"];
const OVER_INCH: [f64; 5] = [0.0, 0.020, 0.030, 0.040, 0.060];

fn some_cuts() -> impl Strategy<Value = SomeCuts> {
    (
        0_i64..120,
        0_i64..120,
        prop::collection::vec(0_i64..60, 5),
        prop::collection::vec(0_i64..60, 4),
        prop::collection::vec(0_usize..5, 4),
    )
        .prop_map(|(head, deck, mains, rods, over)| SomeCuts { head, deck, mains, rods, over })
}

fn made(job: &Job, some: &SomeCuts) -> Vec<Cut> {
    let digits = |tenths: i64| format!("0.{tenths:04}");
    let mut wanted = vec![
        ("head thickness", "1".to_owned(), digits(some.head)),
        ("deck height", "1".to_owned(), digits(some.deck)),
    ];
    wanted.extend((1..).zip(&some.mains).map(|(p, off)| ("main housing", p.to_string(), digits(*off))));
    wanted.extend((1..).zip(&some.rods).map(|(p, off)| ("rod housing", p.to_string(), digits(*off))));
    let bores = (1..).zip(&some.over).filter(|(_, over)| **over > 0);
    wanted.extend(bores.map(|(p, over): (usize, _)| ("bore", p.to_string(), OVER[*over].to_owned())));
    let wanted: Vec<_> = wanted.iter().map(|(f, p, to)| (*f, p.as_str(), to.as_str())).collect();
    cuts(job, &wanted)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// A second, slow computation in plain doubles from the definitions agrees, the order of the cuts does not matter,
    /// and a cut never brings valve and piston further apart.
    #[test]
    fn as_a_plain_computation_gives(some in some_cuts(), turn in 0_usize..16) {
        let (job, judgement) = &*ENGINE;
        let mut wanted = made(job, &some);
        let found = effects(job, judgement, &wanted);
        let thou = |tenths: i64| tenths as f64 / 10_000.0;
        let rise = some.mains.iter().map(|off| thou(*off) / 2.0).fold(0.0, f64::max);
        let mut swept = 0.0;
        for cylinder in 0..4 {
            let name = (cylinder + 1).to_string();
            let bore = 3.61 + OVER_INCH[some.over[cylinder]];
            swept += std::f64::consts::PI * (bore / 2.0).powi(2) * 3.58 * 16.387_064;
            let chamber = 58.0 - 46.0 * thou(some.head) * 2.54;
            let (high, low) = (0.02 - thou(some.deck) - rise, 0.02 - thou(some.deck) + thou(some.rods[cylinder]) / 2.0);
            let (bored, rod) = (some.over[cylinder] > 0, some.rods[cylinder] > 0);
            // What no cut moves is not told, and what one moves is.
            let told = |what: What| found.iter().find(|e| e.what == what && e.position.ends_with(&name));
            let ratio = told(What::CompressionRatio);
            prop_assert_eq!(ratio.is_some(), some.head > 0 || some.deck > 0 || rise > 0.0 || bored || rod);
            if let Some(ratio) = ratio {
                let expected = plain_ratio(bore, chamber, 0.040, high);
                let Some(Amount::Computed { value, error, .. }) = ratio.value else { panic!("{ratio:?}") };
                prop_assert!((value - expected).abs() <= error + 1e-12 * expected, "{value} {expected} {error}");
                prop_assert!(error > 0.0 && error < 1e-10);
            }
            if some.head > 0 {
                prop_assert!((value(&found, What::ChamberVolume, &name) - chamber).abs() < 1e-9);
            }
            let deck = told(What::PistonToDeck);
            prop_assert_eq!(deck.is_some(), some.deck > 0 || rise > 0.0 || rod);
            if let Some(deck) = deck {
                // Both ends inside, both outside, or unknown.
                let inside = |below: f64| (0.0055 - 1e-9..=0.0265 + 1e-9).contains(&below);
                prop_assert_eq!(deck.inside, (inside(high) == inside(low)).then_some(inside(high)), "{:?}", deck);
            }
            let wall = told(What::Wall);
            prop_assert_eq!(wall.is_some(), bored);
            if let Some(wall) = wall {
                let left = 0.195 - OVER_INCH[some.over[cylinder]] / 2.0;
                prop_assert!((wall.value.unwrap().to_f64() / 25.4 - left).abs() < 1e-9);
            }
        }
        if some.over.iter().any(|over| *over > 0) {
            prop_assert!((value(&found, What::Displacement, "") - swept).abs() < 1e-6);
        }
        let expected = -(thou(some.head) + thou(some.deck) + rise) * 25.4;
        let valves: Vec<_> = found.iter().filter(|e| e.what == What::PistonToValve).collect();
        prop_assert_eq!(valves.is_empty(), expected > -1e-9);
        for effect in valves {
            prop_assert!((effect.value.unwrap().to_f64() - expected).abs() < 1e-9);
            prop_assert!(expected <= 0.0);
        }
        let at = turn % wanted.len();
        wanted.rotate_left(at);
        wanted.reverse();
        prop_assert_eq!(effects(job, judgement, &wanted), found);
    }

    /// The ratio grows with every skim, and two cuts of one face are one.
    #[test]
    fn a_deeper_skim_raises_the_ratio(first in 1_i64..60, more in 1_i64..60) {
        let digits = |tenths: i64| format!("0.{tenths:04}");
        let (one, two, both) = (digits(first), digits(more), digits(first + more));
        for face in ["head thickness", "deck height"] {
            let shallow = of(&ENGINE, &[(face, "1", &one)]);
            let deep = of(&ENGINE, &[(face, "1", &one), (face, "1", &two)]);
            prop_assert!(value(&shallow, What::CompressionRatio, "2") < value(&deep, What::CompressionRatio, "2"));
            prop_assert_eq!(deep, of(&ENGINE, &[(face, "1", &both)]));
        }
    }

    /// No shim of the list lands nearer the target inside the window than the one that is taken.
    #[test]
    fn no_shim_lands_nearer(sunk in 1_i64..1200) {
        let found = of(&ENGINE, &[("intake seat width", "3", &format!("0.{sunk:04}"))]);
        let height = exactly(&found, What::SpringHeight, "3 intake").to_mm() / 25.4;
        let raw = 1.660 + sunk as f64 / 10_000.0;
        let heights = [0.0, 0.015, 0.030, 0.060].map(|shim| raw - shim);
        let inside = |height: &f64| (1.645 - 1e-9..=1.675 + 1e-9).contains(height);
        let effect = one(&found, What::SpringHeight, "3 intake");
        prop_assert_eq!(effect.inside, Some(heights.iter().any(inside)), "{} {:?}", sunk, effect);
        let nearest = heights.iter().map(|height| (height - 1.660).abs()).fold(f64::INFINITY, f64::min);
        prop_assert!((height - 1.660).abs() <= nearest + 1e-9);
    }
}
