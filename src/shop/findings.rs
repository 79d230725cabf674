//! Findings, and the problems that stay open until a named person closes them.

use crate::facts::{
    Body, Defect, Digest, Digits, DispositionWord, Fact, Finding, Hardware, PartBody, PartEvent, Picture,
    ScoreBody, Seen, TestKind, TestResult, Trouble,
};
use crate::metrology::Exact;
use crate::sheets::{Feature, Sheet};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::history::History;
use crate::shop::places::{PartPlace, exact_of, part_places, places_of_part, places_words, surfaces_of};
use crate::shop::said::Said;
use crate::shop::set::FactSet;
use crate::shop::surfaces::SurfaceKey;
use crate::shop::troubles::{trouble_of, troubles_of};
use crate::shop::void;
use std::sync::Arc;

/// A finding on parts of the engine.
#[derive(Clone, Debug)]
pub struct FindingNow {
    /// Who saw it.
    pub said: Said,
    /// Its number in the drop, from 1.
    pub item: usize,
    /// `piston 2, 3`.
    pub about: String,
    /// The parts.
    pub places: Vec<PartPlace>,
    /// Where on them.
    pub r#where: String,
    /// What was seen.
    pub defect: Defect,
    /// 0 nothing found to 5 stops the job.
    pub severity: u8,
    /// In words.
    pub note: String,
    /// Names of pictures.
    pub pictures: Vec<String>,
    /// What is suggested.
    pub suggested: Option<DispositionWord>,
    /// It speaks of pieces that are still there; else it is history.
    pub stands: bool,
    /// How deep a score is, and where.
    pub score: Option<Score>,
    /// What it was tested by, and how that came out.
    pub test: Option<(TestKind, TestResult)>,
}

/// A score on a surface that is measured.
#[derive(Clone, Debug)]
pub struct Score {
    /// The surface.
    pub surface: SurfaceKey,
    /// Index of the station it lies at, where it was said.
    pub station: Option<usize>,
    /// Index of the direction, where it was said.
    pub direction: Option<usize>,
    /// Below the wall beside it.
    pub depth: Exact,
    /// Plus or minus this; nothing where nobody said.
    pub within: Exact,
}

/// A problem, open until a named person closes it.
#[derive(Clone, Debug)]
pub struct Problem {
    /// Who opened it.
    pub said: Said,
    /// Its number in the drop, from 1.
    pub item: usize,
    /// `piston 2`.
    pub about: String,
    /// What is the matter.
    pub what: String,
    /// The parts.
    pub places: Vec<PartPlace>,
    /// What kind of trouble it is, where it is one that is got over by force or heat.
    pub trouble: Option<Trouble>,
    /// What was tried on it, in recorded order.
    pub tries: Vec<Tried>,
    /// What or whom it waits on, by the last word on it.
    pub waits_on: Option<String>,
    /// Who closed it, and what was done.
    pub closed: Option<(Said, String)>,
}

/// A picture that was embedded in a drop.
#[derive(Clone, Debug)]
pub struct PictureNow {
    /// Who took it.
    pub said: Said,
    /// The bytes of the drop that holds it, by their digest.
    pub drop: Digest,
    /// The picture.
    pub picture: Picture,
}

/// A try to get over a problem.
#[derive(Clone, Debug)]
pub struct Tried {
    /// Who tried it.
    pub said: Said,
    /// What was tried, and what came of it.
    pub what: String,
}

/// Findings and problems of a job.
#[derive(Default)]
pub(super) struct Findings {
    pub(super) findings: Vec<FindingNow>,
    pub(super) problems: Vec<Problem>,
    pub(super) pictures: Vec<PictureNow>,
    pub(super) held: Vec<Held>,
}

impl Findings {
    /// From a job's standing facts in recorded order.
    pub(super) fn of(sheet: &Sheet, set: &FactSet, history: &History<'_>, facts: &[&Arc<Fact>]) -> Self {
        let mut all = Self::default();
        for fact in facts {
            match &fact.body {
                Body::Finding(finding) => all.finding(sheet, history, fact, finding),
                Body::Part(body) => all.part(sheet, fact, body),
                Body::Hardware(counted) => all.hardware(sheet, fact, counted),
                Body::CheckIn(_)
                | Body::Measurements(_)
                | Body::Operation(_)
                | Body::WorkOrder(_)
                | Body::Supply(_)
                | Body::Assembly(_)
                | Body::Decision(_)
                | Body::Account(_)
                | Body::Withdrawal(_)
                | Body::SignOff(_)
                | Body::Gauge(_)
                | Body::Sheet(_)
                | Body::HouseRules(_)
                | Body::People(_)
                | Body::PriceList(_) => {}
            }
        }
        // A problem may be tried or closed by a statement recorded on a clock that is behind, so after all are open.
        for fact in facts {
            if let Body::Finding(finding) = &fact.body {
                for (index, tried) in finding.tries.iter().enumerate() {
                    all.on_problem(
                        set,
                        fact,
                        &tried.drop,
                        tried.item,
                        &format!("try {}", index + 1),
                        |problem| {
                            problem.tries.push(Tried { said: Said::by(fact), what: tried.what.clone() });
                            problem.waits_on.clone_from(&tried.waits_on);
                        },
                    );
                }
                if let Some(closes) = &finding.closes {
                    all.on_problem(set, fact, &closes.drop, closes.item, "", |problem| {
                        // The first who closed it did.
                        problem.closed.get_or_insert_with(|| (Said::by(fact), closes.how.clone()));
                    });
                }
            }
        }
        all
    }

    fn hold(&mut self, fact: &Fact, part: &str, why: HeldWhy) {
        self.held.push(Held { fact: fact.id, kind: fact.body.kind(), part: part.to_owned(), why });
    }

    fn finding(&mut self, sheet: &Sheet, history: &History<'_>, fact: &Fact, finding: &Finding) {
        let pictures = finding.embedded.iter().filter_map(|embedded| embedded.picture.clone());
        self.pictures.extend(pictures.map(|picture| PictureNow {
            said: Said::by(fact),
            drop: fact.bytes,
            picture,
        }));
        for (index, seen) in finding.findings.iter().enumerate() {
            // A part that the sheet does not have is held where parts are folded.
            let Ok(places) = places_of_part(sheet, &seen.part, &seen.positions) else { continue };
            let about = places_words(sheet, &places);
            if let Some(what) = &seen.problem {
                let trouble = trouble_of(seen.defect);
                self.open(fact, index + 1, about.clone(), what.clone(), places.clone(), trouble);
                if let Some(opened) = self.problems.last_mut() {
                    opened.waits_on.clone_from(&seen.waits_on);
                }
            }
            let stands = places
                .iter()
                .any(|place| history.instance(*place, fact.order()) == history.present(*place).0);
            let part = places.first().map(|(part, _)| *part);
            let score = match seen.score.as_ref().map(|score| score_of(sheet, score, part)).transpose() {
                Ok(score) => score,
                Err(why) => {
                    self.hold(fact, &format!("finding {}: score", index + 1), why);
                    None
                }
            };
            self.findings.push(FindingNow { score, ..found(fact, index + 1, about, places, seen, stands) });
        }
    }

    fn part(&mut self, sheet: &Sheet, fact: &Fact, body: &PartBody) {
        let Ok(places) = part_places(sheet, body) else { return };
        let about = places_words(sheet, &places);
        if let Some(trouble) = body.trouble {
            let said = [body.marks.as_str(), &body.why].into_iter().filter(|words| !words.is_empty());
            let said: Vec<String> = said.map(|words| format!(": {words}")).collect();
            self.open(fact, 1, about, format!("{}{}", trouble.word(), said.concat()), places, Some(trouble));
        } else if body.event == PartEvent::Missing {
            self.open(fact, 1, about, "missing".to_owned(), places, None);
        }
    }

    /// Bags are counted anew; the same trouble is one problem.
    fn hardware(&mut self, sheet: &Sheet, fact: &Fact, counted: &Hardware) {
        let Some(about) = sheet.label_of(&counted.group) else { return };
        for (index, (what, trouble)) in troubles_of(counted).into_iter().enumerate() {
            if !self.problems.iter().any(|known| known.about == about && known.what == what) {
                self.open(fact, index + 1, about.clone(), what, Vec::new(), trouble);
            }
        }
    }

    fn open(
        &mut self,
        fact: &Fact,
        item: usize,
        about: String,
        what: String,
        places: Vec<PartPlace>,
        trouble: Option<Trouble>,
    ) {
        self.problems.push(Problem {
            said: Said::by(fact),
            item,
            about,
            what,
            places,
            trouble,
            tries: Vec::new(),
            waits_on: None,
            closed: None,
        });
    }

    /// Says something of the problems a drop opened, or of one of them; held where it opened none such.
    fn on_problem(
        &mut self,
        set: &FactSet,
        fact: &Fact,
        drop: &str,
        item: Option<usize>,
        part: &str,
        say: impl Fn(&mut Problem),
    ) {
        let target = match void::resolve(set, drop) {
            Ok(target) => target.id,
            Err(why) => return self.hold(fact, part, why),
        };
        let mut named = false;
        for problem in self.problems.iter_mut().filter(|problem| problem.said.fact == target) {
            if item.is_none_or(|item| item == problem.item) {
                named = true;
                say(problem);
            }
        }
        if !named {
            self.hold(fact, part, HeldWhy::NoSuchProblem(target.short()));
        }
    }
}

fn found(
    fact: &Fact,
    item: usize,
    about: String,
    places: Vec<PartPlace>,
    seen: &Seen,
    stands: bool,
) -> FindingNow {
    FindingNow {
        said: Said::by(fact),
        item,
        about,
        places,
        r#where: seen.r#where.clone(),
        defect: seen.defect,
        severity: seen.severity,
        note: seen.note.clone(),
        pictures: seen.pictures.clone(),
        suggested: seen.disposition,
        stands,
        score: None,
        test: seen.test.as_ref().map(|test| (test.kind, test.result)),
    }
}

/// Where a score lies, in the sheet's indices: on a surface of the part that the finding is about.
fn score_of(sheet: &Sheet, body: &ScoreBody, part: Option<usize>) -> Result<Score, HeldWhy> {
    let all = [Digits("all".into())];
    let positions = body.position.as_ref().map_or(&all[..], std::slice::from_ref);
    let keys = surfaces_of(sheet, &body.feature, positions)?;
    let [surface] = keys.as_slice() else {
        return Err(HeldWhy::NoSuchPlace(format!(
            "{} without one position: there are several",
            body.feature
        )));
    };
    let feature = sheet.features.get(surface.feature);
    let of_part = part.and_then(|part| sheet.parts.get(part));
    if let (Some(feature), Some(part)) = (feature.filter(|feature| Some(feature.part) != part), of_part) {
        return Err(HeldWhy::NoSuchPlace(format!("{} on the {}", feature.key, part.key)));
    }
    let named = |written: &Option<String>, find: &dyn Fn(&Feature, &str) -> Option<usize>| match written {
        None => Ok(None),
        Some(text) => {
            let found = feature.and_then(|feature| find(feature, text));
            found.map(Some).ok_or_else(|| HeldWhy::NoSuchPlace(format!("{} {text}", body.feature)))
        }
    };
    let length = |digits: &Digits| exact_of(digits, &body.unit_symbol).unwrap_or(Exact::ZERO);
    Ok(Score {
        surface: *surface,
        station: named(&body.station, &|feature, text| feature.station(text))?,
        direction: named(&body.direction, &|feature, text| feature.direction(text))?,
        depth: length(&body.depth),
        within: body.within.as_ref().map_or(Exact::ZERO, length),
    })
}
