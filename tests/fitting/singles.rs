//! Pistons to bores.

use crate::chance::Chance;
use crate::support::*;
use crate::{fit, inches, short_block};
use benchdrop::metrology::Unit;
use benchdrop::planning::SingleSet;
use serde_json::{Value, json};

/// A bore that is round and straight, in tenths, finished to a size.
fn bore(position: usize, at: i64) -> Vec<Value> {
    let number = (position + 1).to_string();
    let places = ["top", "middle", "bottom"].into_iter().flat_map(|station| ["X", "Y"].map(|d| (station, d)));
    let value = inches(at);
    places.map(|(station, direction)| reading("bore", &number, station, direction, &value)).collect()
}

/// An engine whose bores are finished to +0.030, with these sizes above it, and new pistons of these.
fn bored(bores: &[i64], pistons: &[i64]) -> Vec<Value> {
    let mut drops = short_block(false);
    drops.push(drop_at(
        "operation",
        20,
        json!({"operation": "bore and hone", "unit": "in", "finished": "0.030 over",
            "places": [{"feature": "bore", "positions": ["all"]}]}),
    ));
    let readings = bores.iter().enumerate().flat_map(|(position, at)| bore(position, *at)).collect();
    drops.push(measured(30, "after work", "BORE", readings));
    drops.push(drop_at(
        "part",
        31,
        json!({"part": "piston", "positions": ["all"], "event": "replaced", "state": "new", "unit": "in",
            "stamps": [{"group": "bores", "size": "0.030 over"}]}),
    ));
    let skirts = pistons.iter().enumerate().map(|(position, at)| {
        reading("piston skirt", &(position + 1).to_string(), "gauge height", "across the pin", &inches(*at))
    });
    drops.push(measured(32, "as received", "MIC", skirts.collect()));
    drops
}

fn pistons(drops: &[Value]) -> SingleSet {
    fit(drops).singles.into_iter().find(|set| set.pair == "piston clearance").unwrap()
}

/// Label of the piston in each bore.
fn labels(set: &SingleSet) -> Vec<(usize, usize)> {
    set.places.iter().map(|place| (place.position, place.label)).collect()
}

/// Every permutation, on whole tenths: the sum is never beaten, nothing outside 0.0012 to 0.0020 is paired while another
/// way pairs more, and where all fit the largest with the largest is as good.
#[test]
fn no_pairing_is_better() {
    let mut chance = Chance(0x9157);
    let (mut all_fit, mut moved, mut some_left) = (0, 0, 0);
    for _ in 0..60 {
        let spread = chance.between(3, 8);
        let bores: Vec<i64> = (0..4).map(|_| 36398 + chance.between(0, 8) as i64).collect();
        let skirts: Vec<i64> = (0..4).map(|_| 36383 + chance.between(0, spread) as i64).collect();
        let set = pistons(&bored(&bores, &skirts));
        if !set.unmeasured.is_empty() {
            continue; // asked about
        }
        let worth = |pairs: &[(usize, usize)]| {
            let clear = |(b, p): &(usize, usize)| bores[*b] - skirts[*p];
            let fits = pairs.iter().map(clear).filter(|c| (12..=20).contains(c));
            // As many as can be, then the least sum.
            fits.fold((0, 0), |(count, sum): (i64, i64), c| (count - 1, sum + (c - 16).abs()))
        };
        let ours = worth(&labels(&set));
        assert_eq!(ours.0, -(set.places.len() as i64), "what is paired fits");
        assert_eq!(set.places.len() + set.left_over.len(), 4);
        let best =
            permutations(4).iter().map(|p| worth(&p.iter().copied().enumerate().collect::<Vec<_>>())).min();
        assert_eq!(Some(ours), best, "{bores:?} {skirts:?}");
        for place in &set.places {
            let clear = inches(bores[place.position] - skirts[place.label]);
            assert_eq!(place.ends().0.show(Unit::Inch), clear);
            let target = place.hone_to.map(|to| to.show(Unit::Inch));
            let wanted = skirts[place.label] + 16;
            assert_eq!(target, (bores[place.position] < wanted).then(|| inches(wanted)));
        }
        // Largest with largest.
        let order = |sizes: &[i64]| {
            let mut by: Vec<usize> = (0..4).collect();
            by.sort_by_key(|at| sizes[*at]);
            by
        };
        let sorted: Vec<(usize, usize)> = order(&bores).into_iter().zip(order(&skirts)).collect();
        if worth(&sorted).0 == -4 {
            assert_eq!(worth(&sorted), ours);
            all_fit += 1;
        }
        moved += usize::from(labels(&set).iter().any(|(b, p)| b != p));
        some_left += usize::from(!set.left_over.is_empty());
    }
    assert!(all_fit > 5 && moved > 5 && some_left > 2, "{all_fit} {moved} {some_left}");
}

fn permutations(count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let shorter = permutations(count - 1);
    let put = |p: &Vec<usize>, at: usize| [&p[..at], &[count - 1], &p[at..]].concat();
    shorter.iter().flat_map(|p| (0..count).map(move |at| put(p, at))).collect()
}

/// H1, "wrong pairing": a grade C bore with a grade A piston gives 0.0020 to 0.0028, a grade A bore with a grade C
/// piston 0.0004 to 0.0012. By the marks alone every piston goes to a bore of its grade.
#[test]
fn wrong_pairing_of_the_trade_notes() {
    let mut drops = short_block(false);
    // Bores of grades C, A, B, B as found; pistons marked A, C, B, B.
    let bores = [36112, 36100, 36106, 36106];
    let readings = bores.iter().enumerate().flat_map(|(position, at)| bore(position, *at)).collect();
    drops.push(measured(30, "as received", "BORE", readings));
    for (position, grade) in ["A", "grade C", "B", "b"].into_iter().enumerate() {
        drops.push(drop_at(
            "part",
            31 + u32::try_from(position).unwrap(),
            json!({"part": "piston", "position": (position + 1).to_string(), "event": "replaced", "state": "new", "marks": grade}),
        ));
    }
    let set = pistons(&drops);
    assert_eq!(labels(&set), [(0, 1), (1, 0), (2, 2), (3, 3)], "{set:?}");
    assert!(set.places.iter().all(|place| place.by_grade));
    let ends = |at: usize| set.places[at].ends();
    // 3.6112 less 3.6092 to 3.6096; 3.6100 less 3.6084 to 3.6088.
    for at in [0, 1] {
        assert_eq!(
            [ends(at).0.show(Unit::Inch), ends(at).1.show(Unit::Inch)],
            [["0.0016", "0.0020"], ["0.0012", "0.0016"]][at]
        );
    }
}

/// A used piston stays in its bore whatever would be nearer; only the new ones are free.
#[test]
fn what_has_run_keeps_its_place() {
    let mut drops = bored(&[36400, 36404, 36402, 36402], &[36388, 36384, 36386, 36386]);
    let apart = labels(&pistons(&drops));
    assert_eq!(apart, [(0, 1), (1, 0), (2, 2), (3, 3)]);
    let replaced = drops.iter_mut().find(|drop| drop["body"]["event"] == "replaced").unwrap();
    replaced["body"]["positions"] = json!(["2", "3", "4"]);
    let mut own = replaced.clone();
    own["body"]["positions"] = json!(["1"]);
    own["body"]["event"] = "stamp read".into();
    own["body"].as_object_mut().unwrap().remove("state");
    drops.push(own);
    let set = pistons(&drops);
    let first: Vec<_> =
        set.places.iter().filter(|place| place.kept).map(|place| (place.position, place.label)).collect();
    assert_eq!(first, [(0, 0)]);
    assert!(labels(&set).contains(&(1, 1)), "{:?}", labels(&set));
}

/// Bores still to be cut: each is finished to the piston in hand and the middle of the window.
#[test]
fn bores_to_be_cut_follow_the_pistons() {
    let mut drops = short_block(false);
    drops.push(drop_at(
        "decision",
        20,
        json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt",
            "work": [{"operation": "bore", "feature": "bore", "positions": ["all"], "finished": "0.030 over"}]}}),
    ));
    let whole = bored(&[36400; 4], &[36384, 36386, 36388, 36385]);
    drops.extend(whole.into_iter().filter(|drop| {
        drop["body"]["event"] == "replaced" || drop["body"]["readings"][0]["feature"] == "piston skirt"
    }));
    let set = pistons(&drops);
    let targets: Vec<String> =
        set.places.iter().map(|place| place.hone_to.unwrap().show(Unit::Inch)).collect();
    assert_eq!(targets, ["3.6400", "3.6402", "3.6404", "3.6401"]);
    assert_eq!(labels(&set), [(0, 0), (1, 1), (2, 2), (3, 3)]);
}
