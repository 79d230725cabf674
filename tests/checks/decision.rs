//! Decision rules: what is proven, what is taken, and what that costs.

use crate::near;
use benchdrop::metrology::normal::{between, density, phi};
use benchdrop::metrology::quantiles::normal;
use benchdrop::metrology::risk::{Limits, Process, Risk, capability, risk};
use benchdrop::metrology::{guard, proof};

const NONE: f64 = f64::INFINITY;

/// P2.1a: JCGM 106:2012, 7.3, table 1, RECALLED; COMPUTED with scipy.
#[test]
fn p2_1a_one_sided_factors() {
    let rows = [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)];
    for (p, z) in rows {
        near(&format!("P2.1a {p}"), normal(p), z, 0.005);
    }
    for (p, z) in [(0.80, 0.841_6), (0.90, 1.281_6), (0.95, 1.644_9), (0.99, 2.326_3), (0.999, 3.090_2)] {
        near(&format!("P2.1a {z}"), phi(z), p, 1e-4);
    }
}

/// P2.1b and c: JCGM 106:2012, 7.2 and 7.4, RECALLED; COMPUTED with scipy.
#[test]
fn p2_1_probabilities_of_conformity() {
    near("P2.1b breakdown voltage", between(None, Some(-5.40 + 5.47), 0.05), 0.92, 0.005);
    near("P2.1c oil viscosity", between(Some(13.6 - 12.5), Some(16.3 - 13.6), 1.8), 0.66, 0.005);
}

/// Bearing balls: out of true by a gamma of shape 4 and scale a quarter micrometre, no more than 2 wanted.
fn balls(accepted: f64) -> Risk {
    let density = |y: f64| 4_f64.powi(4) * y.powi(3) * (-4.0 * y).exp() / 6.0;
    let process = Process { density: &density, reach: Limits { low: 0.0, high: 15.0 } };
    let up_to = |high| Limits { low: -NONE, high };
    risk(&process, up_to(2.0), up_to(accepted), 0.25)
}

/// P2.1d to f: JCGM 106:2012, 9.5.4, READ in sandialabs/suncal; COMPUTED with scipy.
#[test]
fn p2_1_bearing_balls() {
    near("P2.1d beyond", balls(2.0).beyond, 0.042, 0.0005);
    near("P2.1d beyond", balls(2.0).beyond, 0.042_380_1, 1e-7);
    near("P2.1e wrongly taken", balls(2.0).wrongly_taken, 0.008, 0.0005);
    near("P2.1e wrongly taken", balls(2.0).wrongly_taken, 0.008_019_11, 1e-8);
    near("P2.1f taken up to 1.67", balls(1.671_829).wrongly_taken, 0.001, 1e-8);
}

/// P2.2: ISO 14253-1:2017 and its older editions, RECALLED; COMPUTED.
#[test]
fn p2_2_acceptance_zones() {
    let zone = |factor| guard::zone(Some(59.970), Some(60.000), 0.0015, factor).unwrap();
    let ends = |(low, high): (Option<f64>, Option<f64>)| (low.unwrap(), high.unwrap());
    near("P2.2a low, 1.65 u", ends(zone(1.65)).0, 59.972_475, 1e-9);
    near("P2.2a high, 1.65 u", ends(zone(1.65)).1, 59.997_525, 1e-9);
    near("P2.2a low, 2 u", ends(zone(2.0)).0, 59.973, 1e-9);
    near("P2.2a high, 2 u", ends(zone(2.0)).1, 59.997, 1e-9);
    for (factor, expected) in [(1.65, 0.043_4), (2.0, 0.042)] {
        let (low, high) = guard::zone(None, Some(0.050), 0.004, factor).unwrap();
        assert_eq!(low, None);
        near("P2.2b", high.unwrap(), expected, 1e-9);
    }
}

/// P2.2, the probabilities behind the zones: COMPUTED with scipy. The last is proven by the rule of the house at
/// 0.95 and would not be with 2 u.
#[test]
fn p2_2_probabilities() {
    near("P2.2a 59.972", between(Some(0.002), Some(0.028), 0.0015), 0.908_789, 1e-6);
    let p = between(None, Some(0.050 - 0.043), 0.004);
    near("P2.2b 0.043", p, 0.959_941, 1e-6);
    assert_eq!(proof::decide(p, 0.95), proof::Certainty::Inside);
    assert!(guard::zone(None, Some(0.050), 0.004, 2.0).unwrap().1.unwrap() < 0.043);
}

/// P2.3: ASME B89.7.3.1-2001, RECALLED. Simple acceptance is allowed at four to one and above, four itself included.
#[test]
fn p2_3_four_to_one() {
    near("P2.3a", guard::ratio(0.030, 0.003_75), 4.0, 1e-12);
    near("P2.3b", guard::ratio(0.022, 0.004), 2.75, 1e-12);
    assert!(guard::ratio(0.030, 0.003_75) >= 4.0 && guard::ratio(0.022, 0.004) < 4.0);
}

/// A normal process of standard deviation one about zero.
fn normal_process(limit: f64, accepted: f64, u: f64) -> Risk {
    let both = |high: f64| Limits { low: -high, high };
    risk(&Process { density: &density, reach: both(9.0) }, both(limit), both(accepted), u)
}

/// P2.4a and b: Deaver 1993, READ in the tests of sandialabs/suncal; COMPUTED with scipy.
#[test]
fn p2_4_normal_process() {
    let wide = normal_process(2.0, 2.0, 0.25);
    near("P2.4a wrongly taken", wide.wrongly_taken, 0.008, 0.0005);
    near("P2.4a wrongly taken", wide.wrongly_taken, 0.008_006_08, 1e-8);
    near("P2.4a wrongly refused", wide.wrongly_refused, 0.015, 0.0005);
    near("P2.4a wrongly refused", wide.wrongly_refused, 0.014_850_88, 1e-8);
    let guarded = normal_process(2.0, 1.82, 0.5);
    near("P2.4b wrongly taken", guarded.wrongly_taken, 0.008, 0.0005);
    near("P2.4b wrongly taken", guarded.wrongly_taken, 0.008_051_6, 1e-7);
    near("P2.4b wrongly refused", guarded.wrongly_refused, 0.066, 0.001);
    near("P2.4b wrongly refused", guarded.wrongly_refused, 0.066_106_4, 1e-7);
}

/// P2.4c and d: a table of NCSLI RP-19 (draft) and a capability, READ in the tests of sandialabs/suncal; COMPUTED.
#[test]
fn p2_4_in_tolerance_share_and_capability() {
    // 0.95 of the process lies within plus or minus one: its standard deviation is 1 / 1.96.
    let limit = normal(0.975);
    let risk = normal_process(limit, limit, 0.25);
    near("P2.4c wrongly taken", risk.wrongly_taken, 0.008_710_092_5, 2e-8);
    let taken = 1.0 - risk.beyond - risk.wrongly_refused + risk.wrongly_taken;
    near("P2.4c of those taken", risk.wrongly_taken / taken, 0.009_238_966_4, 2e-8);
    let limits = Limits { low: 9.0, high: 11.0 };
    near("P2.4d capability", capability(10.0, 0.4, limits), 0.833_333, 1e-6);
    let spread = normal_process(2.5, 2.5, 1.0);
    near("P2.4d outside", spread.beyond, 0.012_42, 1e-6);
    near("P2.4d each side", spread.beyond / 2.0, 0.006_21, 1e-6);
}
