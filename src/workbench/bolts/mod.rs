//! Bolts: stress area, proof load, torque from preload and back, stretch.
//!
//! Torque is a poor measure of preload: what friction leaves of it differs from bolt to bolt by far more than a wrench
//! does. Every answer therefore gives the range, and says against the proof load what its end means.
//! Bolts that are tightened by angle or to yield are not for this; nor does it know the joint, its gasket or its threads
//! in the part. The engine's own sheet decides.

mod grade;
mod thread;

pub use grade::Grade;
pub use thread::Thread;

use crate::workbench::SHEET_DECIDES;
use crate::workbench::answer::Answer;
use crate::workbench::given::{Amount, Faults, Given, Least};
use crate::workbench::number::{figure, short};
use crate::workbench::units::Quantity;

/// Nut factors of shop practice, and how far single bolts lie from them, as a fraction.
const LUBRICANTS: [(&str, f64); 5] =
    [("dry", 0.20), ("oil", 0.15), ("anti-seize", 0.12), ("moly", 0.12), ("rusty", 0.25)];
const SCATTER: f64 = 0.30;

const NEWTONS: f64 = 4.448_221_615_260_5; // in a pound-force
const INCH: f64 = 25.4; // mm
const FOOT_POUND: f64 = 1.355_817_948_331_400_4; // N m
/// Steel where no modulus is given: 30 million psi, the handbooks' round figure.
const STEEL: f64 = 206_842.718_795_04; // MPa

/// Torque in N m of a preload in N on a thread of this diameter in mm: T = K d F.
#[must_use]
pub fn torque(k: f64, diameter: f64, preload: f64) -> f64 {
    k * diameter * preload / 1_000.0
}

/// Preload in N of a torque in N m, the same turned round.
#[must_use]
pub fn preload(k: f64, diameter: f64, torque: f64) -> f64 {
    torque * 1_000.0 / (k * diameter)
}

/// Stretch in mm of a length in mm and area in mm2 under a load in N: F L / (A E), E in MPa (Hooke's law).
#[must_use]
pub fn stretch(load: f64, length: f64, area: f64, modulus: f64) -> f64 {
    load * length / (area * modulus)
}

/// What was asked, read.
struct Asked {
    thread: Thread,
    grade: Option<&'static Grade>,
    k: f64,
    lubricant: String,
    aim: Aim,
    shank: Option<(f64, f64)>,
    threads: Option<f64>,
    modulus: f64,
}

/// What the owner starts from.
enum Aim {
    /// N.
    Preload(f64),
    /// N m.
    Torque(f64),
    /// Of the proof load.
    Percent(f64),
}

/// Answers from `--thread`, `--grade`, one of `--torque`, `--preload` and `--percent`, one of `--lubricant` and `--k`, and
/// for the stretch `--shank`, `--shank-diameter`, `--threads`, `--modulus`.
///
/// # Errors
/// Every fault of what was typed.
pub fn answer(given: &mut Given<'_>) -> Result<Answer, Faults> {
    let thread = thread(given);
    let grade = grade(given, thread.as_ref());
    let friction = friction(given);
    let aim = aim(given);
    if matches!(aim, Some(Aim::Percent(_))) && given.text("--grade").is_none() {
        given
            .faults
            .add("--grade", "a percentage is one of the proof load, which needs the grade; such as 8.8 or 8");
    }
    let mm = |amount: Option<Amount>| amount.map(|amount| amount.to("mm"));
    let shank = mm(given.maybe("--shank", Quantity::Length, Least::Positive, "1.6in"));
    let across = mm(given.maybe("--shank-diameter", Quantity::Length, Least::Positive, "0.375in"));
    let threads = mm(given.maybe("--threads", Quantity::Length, Least::Positive, "0.4in"));
    if across.is_some() && shank.is_none() {
        given
            .faults
            .add("--shank-diameter", "it has no --shank, the length it is the diameter of, such as 1.6in");
    }
    let modulus = given.maybe("--modulus", Quantity::Pressure, Least::Positive, "30000ksi");
    let modulus = modulus.map_or(STEEL, |amount| amount.to("MPa"));
    let read = thread.zip(friction).zip(aim).map(|((thread, (k, lubricant)), aim)| {
        let shank = shank.map(|length| (length, across.unwrap_or(thread.diameter)));
        Asked { thread, grade, k, lubricant, aim, shank, threads, modulus }
    });
    let asked = given.done(read)?;
    Ok(answered(&asked))
}

fn thread(given: &mut Given<'_>) -> Option<Thread> {
    let good = "a good one is M10x1.25, M12 or 3/8-24";
    match given.text("--thread").map(Thread::read) {
        Some(Ok(thread)) => return Some(thread),
        Some(Err(words)) => given.faults.add("--thread", format!("{words}; {good}")),
        None => given.faults.add("--thread", format!("the thread is missing; {good}")),
    }
    None
}

fn grade(given: &mut Given<'_>, thread: Option<&Thread>) -> Option<&'static Grade> {
    match Grade::named(given.text("--grade")?, thread?) {
        Ok(grade) => Some(grade),
        Err(words) => {
            given.faults.add("--grade", words);
            None
        }
    }
}

fn friction(given: &mut Given<'_>) -> Option<(f64, String)> {
    let names = LUBRICANTS.map(|(name, _)| name).join(", ");
    let known = |text: &str| LUBRICANTS.into_iter().find(|(name, _)| *name == text);
    match (given.number("--k", "0.15"), given.text("--lubricant")) {
        (Some(k), None) if (0.03..=1.0).contains(&k) => return Some((k, "as given".to_owned())),
        (Some(k), None) => {
            given.faults.add("--k", format!("{k} is no nut factor; they lie between 0.08 and 0.35"))
        }
        (None, Some(text)) => match known(text) {
            Some((name, k)) => return Some((k, name.to_owned())),
            None => given
                .faults
                .add("--lubricant", format!("{text:?} is none of {names}; or give --k, such as 0.15")),
        },
        (Some(_), Some(_)) => given.faults.add("--lubricant", "give it or --k, not both"),
        (None, None) if given.text("--k").is_some() => {}
        (None, None) => given.faults.add(
            "--lubricant",
            format!("the lubricant is missing, and a torque means nothing without it; good is one of {names}, or --k with the maker's nut factor, such as 0.15"),
        ),
    }
    None
}

fn aim(given: &mut Given<'_>) -> Option<Aim> {
    let preload = given.maybe("--preload", Quantity::Force, Least::Positive, "30kN or 6700lbf");
    let torque = given.maybe("--torque", Quantity::Torque, Least::Positive, "\"38 lbf ft\" or \"52 N m\"");
    let percent = given.number("--percent", "75").map(Aim::Percent);
    let preload = preload.map(|amount| Aim::Preload(amount.to("N")));
    let torque = torque.map(|amount| Aim::Torque(amount.to("N m")));
    let typed =
        ["--preload", "--torque", "--percent"].iter().filter(|name| given.text(name).is_some()).count();
    if typed != 1 {
        let one = "give one of --torque \"38 lbf ft\", --preload 30kN, and --percent 75 of the proof load";
        given.faults.add("--torque", one);
        return None;
    }
    preload.or(torque).or(percent)
}

fn answered(asked: &Asked) -> Answer {
    let mut answer = Answer::default();
    let area = asked.thread.stress_area();
    let (formula, step) = asked.thread.how();
    answer.formula.push(formula.to_owned());
    answer.step(step);
    answer.result("stress area", vec![(figure(area, 4), "mm2"), (figure(area / INCH / INCH, 4), "in2")]);
    let proof = asked.grade.map(|grade| grade_rows(&mut answer, grade, area));
    let (load, turn) = tightened(&mut answer, asked, proof);
    stretched(&mut answer, asked, load, area);
    answer.title = format!(
        "{}{}, K {}: {} N ({} lbf) of preload at {} N m ({} lbf ft)",
        asked.thread.name,
        asked.grade.map(|grade| format!(" grade {}", grade.name)).unwrap_or_default(),
        asked.k,
        figure(load, 4),
        figure(load / NEWTONS, 4),
        figure(turn, 3),
        figure(turn / FOOT_POUND, 3)
    );
    answer.cautions.extend(proof.and_then(|proof| beyond(load, proof)));
    answer.cautions.extend([BREAKS.to_owned(), SHEET_DECIDES.to_owned()]);
    if proof.is_none() {
        answer
            .notes
            .push("How near the proof load it comes: that needs --grade, such as 8.8 or 8.".to_owned());
    }
    answer.notes.extend([NOT_FOR.to_owned(), JOINT.to_owned()]);
    answer.source = source(asked);
    answer
}

/// What is to be said of a preload in N beside the proof load.
fn beyond(load: f64, proof: f64) -> Option<String> {
    let limit = format!("the proof load of {} N ({} lbf)", figure(proof, 4), figure(proof / NEWTONS, 4));
    if load > proof {
        return Some(format!(
            "This preload is above {limit}: the bolt stays stretched or breaks. Do not tighten it so."
        ));
    }
    (load / (1.0 - SCATTER) > proof).then(|| {
        format!(
            "A bolt with little friction would pass {limit} at this torque: keep threads clean and the lubricant as the \
             sheet says, and measure the stretch where the sheet gives one."
        )
    })
}

/// Said under every answer: where work can hurt somebody.
const BREAKS: &str = "A bolt tightened too far or too little breaks or comes loose in a running engine. Tighten by the \
                      sheet's own figure, lubricant, stages and angle; this answer only says whether a figure is likely.";
const NOT_FOR: &str = "Bolts tightened by angle or to yield: torque says nothing of their preload.";
const JOINT: &str =
    "The joint: what the parts give way, threads in the part that strip, a gasket that settles.";

/// Proof load in N, with its rows.
fn grade_rows(answer: &mut Answer, grade: &Grade, area: f64) -> f64 {
    let [proof, yields, breaking] = grade.stresses();
    answer.formula.push(
        "proof load = proof stress x As; yield and breaking load, least, with yield and tensile strength"
            .to_owned(),
    );
    for (name, stress, shown) in [
        ("proof load", proof, grade.proof),
        ("yield load, least", yields, grade.yields),
        ("breaking load, least", breaking, grade.breaking),
    ] {
        let load = stress * area;
        answer.result(name, newtons(load));
        let (size, of, force) = if grade.unit() == "MPa" {
            (figure(area, 4), "mm2", format!("{} N", figure(load, 4)))
        } else {
            (figure(area / INCH / INCH, 4), "in2", format!("{} lbf", figure(load / NEWTONS, 4)))
        };
        answer.step(format!("{name} = {shown} {} x {size} {of} = {force}.", grade.unit()));
    }
    proof * area
}

/// Preload in N and torque in N m, with the range that friction leaves.
fn tightened(answer: &mut Answer, asked: &Asked, proof: Option<f64>) -> (f64, f64) {
    let (k, d) = (asked.k, asked.thread.diameter);
    let (load, turn) = match asked.aim {
        Aim::Preload(load) => (load, torque(k, d, load)),
        Aim::Torque(turn) => (preload(k, d, turn), turn),
        Aim::Percent(percent) => {
            let load = percent / 100.0 * proof.unwrap_or(0.0);
            answer.step(format!("F = {percent} percent of the proof load = {} N.", figure(load, 4)));
            (load, torque(k, d, load))
        }
    };
    answer.formula.push("T = K x d x F, and so F = T / (K x d)".to_owned());
    answer.step(match asked.aim {
        Aim::Torque(_) => {
            format!("F = {} N m / ({k} x {} mm) = {} N.", figure(turn, 4), short(d, 5), figure(load, 4))
        }
        Aim::Preload(_) | Aim::Percent(_) => {
            format!("T = {k} x {} mm x {} N = {} N m.", short(d, 5), figure(load, 4), figure(turn, 4))
        }
    });
    answer.result(
        format!("torque ({}, K {k})", asked.lubricant),
        vec![(figure(turn, 3), "N m"), (figure(turn / FOOT_POUND, 3), "lbf ft")],
    );
    answer.result("preload", newtons(load));
    for (name, part) in [("preload, least", 1.0 + SCATTER), ("preload, most", 1.0 - SCATTER)] {
        let at = short(k * part, 3);
        answer.result(format!("{name} (K {at})"), newtons(load / part));
        answer.step(format!(
            "{name}, at that torque: {} N x {k} / {at} = {} N.",
            figure(load, 4),
            figure(load / part, 4)
        ));
    }
    if let Some(proof) = proof {
        let percent = |load: f64| vec![(figure(100.0 * load / proof, 3), "percent")];
        answer.result("of the proof load", percent(load));
        answer.result("of the proof load, most", percent(load / (1.0 - SCATTER)));
    }
    (load, turn)
}

/// Shank and thread under the preload, and the turn of the nut that stretches the bolt alone.
fn stretched(answer: &mut Answer, asked: &Asked, load: f64, area: f64) {
    let plain = std::f64::consts::FRAC_PI_4;
    let shank = asked.shank.map(|(length, across)| ("shank", length, plain * across * across));
    let threads = asked.threads.map(|length| ("thread", length, area));
    let parts: Vec<(&str, f64, f64)> = shank.into_iter().chain(threads).collect();
    if parts.is_empty() {
        return;
    }
    answer
        .formula
        .push("stretch = F x L / (A x E) of each part, shank with its own area, thread with As".to_owned());
    let mut whole = 0.0;
    for (name, length, area) in parts {
        let part = stretch(load, length, area, asked.modulus);
        whole += part;
        answer.result(format!("stretch of the {name}"), long(part));
        answer.step(format!(
            "{name}: {} N x {} mm / ({} mm2 x {} MPa) = {} mm.",
            figure(load, 4),
            short(length, 5),
            figure(area, 4),
            figure(asked.modulus, 6),
            figure(part, 3)
        ));
    }
    let turn = 360.0 * whole / asked.thread.pitch;
    answer.result("stretch in all", long(whole));
    answer.result("turn that stretches the bolt alone", vec![(figure(turn, 3), "deg")]);
    answer.formula.push("turn = 360 deg x stretch / pitch".to_owned());
    answer.step(format!(
        "turn = 360 x {} / {} = {} deg; what the parts give way comes on top.",
        figure(whole, 3),
        short(asked.thread.pitch, 4),
        figure(turn, 3)
    ));
}

fn newtons(load: f64) -> Vec<(String, &'static str)> {
    vec![(figure(load, 4), "N"), (figure(load / NEWTONS, 4), "lbf")]
}

fn long(length: f64) -> Vec<(String, &'static str)> {
    vec![(figure(length, 3), "mm"), (figure(length / INCH, 3), "in")]
}

fn source(asked: &Asked) -> Vec<String> {
    let area = if asked.thread.metric {
        "Stress area: ISO 898-1:2013, 9.1.6, and ISO 724, recalled."
    } else {
        "Stress area: ASME B1.1, recalled."
    };
    let grade = match asked.grade {
        Some(_) if asked.thread.metric => {
            Some("Proof stress and strength: ISO 898-1, from public copies; yield strength recalled.")
        }
        Some(_) => Some("Proof stress and strength: SAE J429, from a public copy."),
        None => None,
    };
    let friction = "T = K d F: textbook rule. K 0.20 dry, 0.15 oiled, 0.12 anti-seize or moly, 0.25 rusty are figures of \
                    shop practice; single bolts lie up to 30 percent off.";
    [
        Some(area),
        grade,
        Some(friction),
        asked
            .shank
            .map(|_| "Stretch: Hooke's law; steel 206843 MPa (30 million psi) where no modulus is given."),
    ]
    .into_iter()
    .flatten()
    .map(str::to_owned)
    .collect()
}
