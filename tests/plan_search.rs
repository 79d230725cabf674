//! The search behind a plan against trying everything: a second, slow, obvious implementation that shares no scoring
//! with the first. Guards that a plan is the best there is for its stated aim, on trees where taking the best piece by
//! piece loses.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/chance.rs"]
mod chance;

use benchdrop::facts::Money;
use benchdrop::metrology::{Exact, Length, Unit};
use benchdrop::planning::{self, Aim, Cost, Way, Ways, front};
use chance::Chance;
use std::cmp::Ordering;

/// A cost as plain numbers: unsolved, unkept, lost, patched, metal, unpriced, money, undated, days.
type Plain = [i64; 9];

fn exact(tenths: i64) -> Exact {
    Length::parse(&format!("0.0{tenths:02}"), Unit::Inch).unwrap().exact()
}

fn cost(plain: &Plain) -> Cost {
    let n = |index: usize| u32::try_from(plain[index]).unwrap();
    Cost {
        unsolved: n(0),
        unkept: n(1),
        lost: n(2),
        patched: n(3),
        metal: exact(plain[4]),
        unpriced: n(5),
        money: Money::parse(&plain[6].to_string()).unwrap(),
        undated: n(7),
        days: n(8),
    }
}

/// A tree as plain numbers.
enum Tree {
    Leaf(Plain),
    All(Vec<Tree>),
    Any(Vec<Tree>),
    Then(Box<Tree>, Plain),
}

fn plain(chance: &mut Chance) -> Plain {
    let mut plain = [0; 9];
    for (index, most) in [2, 2, 2, 2, 9, 2, 60, 2, 12].into_iter().enumerate() {
        // Mostly nothing, so that costs often tie in some respects.
        if chance.between(0, 2) == 0 {
            plain[index] = i64::try_from(chance.between(0, most)).unwrap();
        }
    }
    plain
}

fn tree(chance: &mut Chance, depth: u64) -> Tree {
    let branches = |chance: &mut Chance| (0..chance.between(1, 4)).map(|_| tree(chance, depth - 1)).collect();
    match chance.between(0, if depth == 0 { 1 } else { 4 }) {
        0 => Tree::Leaf(plain(chance)),
        1 => Tree::All(branches(chance)),
        4 => Tree::Then(Box::new(tree(chance, depth - 1)), plain(chance)),
        _ => Tree::Any(branches(chance)),
    }
}

fn ways(tree: &Tree, next: &mut usize) -> Ways {
    match tree {
        Tree::Leaf(plain) => {
            *next += 1;
            Ways::One(cost(plain), *next - 1)
        }
        Tree::All(branches) => Ways::All(branches.iter().map(|branch| ways(branch, next)).collect()),
        Tree::Any(branches) => Ways::Any(branches.iter().map(|branch| ways(branch, next)).collect()),
        Tree::Then(first, then) => {
            let first = ways(first, next);
            *next += 1;
            Ways::Then(Box::new(first), cost(then), *next - 1)
        }
    }
}

/// Every combination there is.
fn everything(tree: &Tree) -> Vec<Plain> {
    match tree {
        Tree::Leaf(plain) => vec![*plain],
        Tree::Any(branches) => branches.iter().flat_map(everything).collect(),
        // One after the other: days add up as all else does.
        Tree::Then(first, then) => {
            everything(first).into_iter().map(|one| std::array::from_fn(|i| one[i] + then[i])).collect()
        }
        Tree::All(branches) => branches.iter().fold(vec![[0; 9]], |sums, branch| {
            let of_branch = everything(branch);
            let add = |a: &Plain, b: &Plain| {
                std::array::from_fn(|i| if i == 8 { a[i].max(b[i]) } else { a[i] + b[i] })
            };
            sums.iter().flat_map(|a| of_branch.iter().map(move |b| add(a, b))).collect()
        }),
    }
}

/// Which respects weigh in which order, by aim, written down a second time.
fn weight(aim: Aim) -> [usize; 9] {
    match aim {
        Aim::UsualOrder => [0, 1, 2, 3, 4, 5, 6, 7, 8],
        Aim::LeastMetal => [0, 1, 2, 4, 3, 5, 6, 7, 8],
        Aim::LeastCost => [0, 1, 5, 6, 2, 3, 4, 7, 8],
        Aim::Soonest => [0, 1, 7, 8, 5, 6, 2, 3, 4],
    }
}

fn slow_best(all: &[Plain], aim: Aim) -> Plain {
    let order = |a: &Plain, b: &Plain| {
        weight(aim)
            .into_iter()
            .map(|i| a[i].cmp(&b[i]))
            .find(|o| *o != Ordering::Equal)
            .unwrap_or(Ordering::Equal)
    };
    *all.iter().min_by(|a, b| order(a, b)).unwrap()
}

#[test]
fn the_best_by_every_aim_is_the_best_of_all() {
    let mut chance = Chance(20_261_126);
    let (mut compared, mut greedy_loses) = (0, 0);
    for _ in 0..4_000 {
        let tree = tree(&mut chance, 4);
        let all = everything(&tree);
        if all.len() > 20_000 {
            continue;
        }
        let found = front(&ways(&tree, &mut 0)).unwrap();
        for aim in Aim::ALL {
            let best = best(aim, &found).unwrap();
            let slow = slow_best(&all, aim);
            assert_eq!(best.cost, cost(&slow), "{aim:?}");
            // Piece by piece, for trees too large to be kept in all their combinations.
            let alone = planning::best(&ways(&tree, &mut 0), aim, true).unwrap();
            assert_eq!(alone.cost, cost(&slow), "{aim:?} alone");
            greedy_loses += u32::from(greedy(&tree, aim) != slow);
            compared += 1;
        }
        // Below a ceiling too: the owner's money bounds what may be chosen.
        let ceiling = i64::try_from(chance.between(0, 120)).unwrap();
        let below: Vec<Plain> = all.iter().filter(|plain| plain[6] <= ceiling).copied().collect();
        let money = Money::parse(&ceiling.to_string()).unwrap();
        let kept = best(Aim::LeastMetal, found.iter().filter(|way| way.cost.money <= money));
        assert_eq!(
            kept.map(|way| way.cost),
            (!below.is_empty()).then(|| cost(&slow_best(&below, Aim::LeastMetal)))
        );
    }
    assert!(compared > 10_000, "{compared}");
    assert!(
        greedy_loses > 50,
        "the trees must hold cases where the best piece by piece loses: {greedy_loses}"
    );
}

/// The best branch each time, looked at alone: what a hasty planner would do.
fn greedy(tree: &Tree, aim: Aim) -> Plain {
    match tree {
        Tree::Leaf(plain) => *plain,
        Tree::Any(branches) => {
            let best: Vec<Plain> = branches.iter().map(|branch| greedy(branch, aim)).collect();
            slow_best(&best, aim)
        }
        Tree::Then(first, then) => {
            let first = greedy(first, aim);
            std::array::from_fn(|i| first[i] + then[i])
        }
        Tree::All(branches) => branches.iter().fold([0; 9], |sum, branch| {
            let one = greedy(branch, aim);
            std::array::from_fn(|i| if i == 8 { sum[i].max(one[i]) } else { sum[i] + one[i] })
        }),
    }
}

fn best<'a>(aim: Aim, among: impl IntoIterator<Item = &'a Way>) -> Option<&'a Way> {
    among.into_iter().min_by(|a, b| aim.order(&a.cost, &b.cost))
}

/// Another order of the branches never changes what the best plan costs.
#[test]
fn the_order_of_places_does_not_matter() {
    let mut chance = Chance(7);
    let mut compared = 0;
    for _ in 0..500 {
        let tree = tree(&mut chance, 4);
        if everything(&tree).len() > 5_000 {
            continue;
        }
        let straight = front(&ways(&tree, &mut 0)).unwrap();
        let turned = front(&ways(&shuffled(tree, &mut chance), &mut 0)).unwrap();
        let costs = |front: &[Way]| front.iter().map(|way| way.cost).collect::<Vec<_>>();
        assert_eq!(costs(&straight), costs(&turned));
        compared += 1;
    }
    assert!(compared > 300, "{compared}");
}

fn shuffled(tree: Tree, chance: &mut Chance) -> Tree {
    let mut turn = |mut branches: Vec<Tree>| {
        chance.shuffle(&mut branches);
        branches.into_iter().map(|branch| shuffled(branch, chance)).collect()
    };
    match tree {
        Tree::Leaf(plain) => Tree::Leaf(plain),
        Tree::All(branches) => Tree::All(turn(branches)),
        Tree::Any(branches) => Tree::Any(turn(branches)),
        Tree::Then(first, then) => Tree::Then(Box::new(shuffled(*first, chance)), then),
    }
}

/// A list of prices made to harm takes neither the machine nor the truth: it is said that there is too much.
#[test]
fn too_much_to_search_is_said() {
    // Whatever is chosen at one place costs money or metal, each place twice as much as the one before: none beats another.
    let place = |place: usize| {
        let money = Cost { money: Money::parse(&(1_u64 << place).to_string()).unwrap(), ..Cost::NOTHING };
        let metal = Cost { metal: exact(1) * (1 << place), ..Cost::NOTHING };
        Ways::Any(vec![Ways::One(money, place * 2), Ways::One(metal, place * 2 + 1)])
    };
    assert_eq!(front(&Ways::All((0..8).map(place).collect())).unwrap().len(), 256);
    assert!(front(&Ways::All((0..20).map(place).collect())).is_err());
}
