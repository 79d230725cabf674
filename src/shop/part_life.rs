//! The life of one part of the engine: where it is, what was done to the piece that is there now, and its tests.

use crate::facts::{PartBody, PartEvent, PartState, SizeWord, TestKind, TestResult};
use crate::sheets::{Part, fold_name};
use crate::shop::said::Said;

/// What is known of one part of the engine: a part kind at a position.
#[derive(Clone, Debug, Default)]
pub struct PartLife {
    /// 1 for the part that came in, one more for each replacement.
    pub instance: usize,
    /// Whether a replacement is new or used.
    pub state: Option<PartState>,
    /// The piece that is there now took the place of another.
    pub renewed: Option<Said>,
    /// It came off the engine.
    pub off: Option<Said>,
    /// It did not come.
    pub missing: Option<Said>,
    /// Where it lies.
    pub lies: Option<(Said, String)>,
    /// It is off, and since this nobody says where it lies.
    pub unplaced: Option<Said>,
    /// The bath it lies in.
    pub in_bath: Option<(Said, String)>,
    /// It went out and has not come back: who sent it, to whom and with which order.
    pub out: Option<(Said, OutWith)>,
    /// Cleaned, and how.
    pub cleaned: Option<(Said, String)>,
    /// Fitted.
    pub fitted: Option<FittedNow>,
    /// Thrown away.
    pub scrapped: Option<Said>,
    /// Which way round it sat.
    pub way_round: String,
    /// Numbers and marks read on it.
    pub marks: String,
    /// Size-class group, folded, and size of each stamp.
    pub stamps: Vec<(String, SizeWord)>,
    /// Work on the piece that is there now, in recorded order.
    pub worked: Vec<Worked>,
    /// Tests of the piece that is there now, in recorded order.
    pub tests: Vec<TestNow>,
    /// The piece that is there now was looked at.
    pub looked: Option<Said>,
}

/// With whom a part is, and why.
#[derive(Clone, Debug)]
pub struct OutWith {
    /// Who has it.
    pub to: String,
    /// Number of the order it went with.
    pub order: String,
}

/// A part as it was fitted.
#[derive(Clone, Debug)]
pub struct FittedNow {
    /// Who fitted it.
    pub said: Said,
    /// New or used, where it was said.
    pub state: Option<PartState>,
    /// Its size class.
    pub size: Option<SizeWord>,
    /// Which way round.
    pub way_round: String,
}

/// Work on a part.
#[derive(Clone, Debug)]
pub struct Worked {
    /// Who did it, or took it back.
    pub said: Said,
    /// What was done.
    pub operation: String,
}

/// A test of a part.
#[derive(Clone, Debug)]
pub struct TestNow {
    /// Who tested it.
    pub said: Said,
    /// What test.
    pub kind: TestKind,
    /// Its result.
    pub result: TestResult,
    /// Pressure, time, method.
    pub how: String,
}

impl TestNow {
    /// It was made with magnetic particles on what is not magnetic: they show nothing there.
    #[must_use]
    pub fn shows_nothing_on(&self, part: &Part) -> bool {
        self.kind == TestKind::MagneticParticle && part.metal.is_some_and(|metal| !metal.is_magnetic())
    }

    /// It shows cracks in such a part.
    #[must_use]
    pub fn finds_cracks_in(&self, part: &Part) -> bool {
        self.kind.finds_cracks() && !self.shows_nothing_on(part)
    }
}

impl PartLife {
    /// It is off the engine, or never was on it.
    #[must_use]
    pub const fn is_accounted_for(&self) -> bool {
        self.off.is_some() || self.missing.is_some() || self.scrapped.is_some()
    }

    /// The piece is not to be had any more: how it went, and who said so.
    #[must_use]
    pub fn gone(&self) -> Option<(&'static str, &Said)> {
        let scrapped = self.scrapped.as_ref().map(|said| ("scrapped", said));
        scrapped.or_else(|| self.missing.as_ref().map(|said| ("missing", said)))
    }

    /// Is anything recorded of it?
    #[must_use]
    pub const fn is_known(&self) -> bool {
        self.instance > 1
            || self.is_accounted_for()
            || self.looked.is_some()
            || self.lies.is_some()
            || self.in_bath.is_some()
            || self.cleaned.is_some()
            || self.fitted.is_some()
            || !self.way_round.is_empty()
            || !self.marks.is_empty()
            || !self.stamps.is_empty()
            || !self.worked.is_empty()
    }

    /// Where it is, in words.
    #[must_use]
    pub fn where_words(&self) -> String {
        let out = self.out.as_ref().filter(|(sent, _)| {
            let gone = self.scrapped.as_ref().or(self.missing.as_ref());
            let here = self.fitted.as_ref().map(|fitted| &fitted.said).into_iter().chain(gone);
            here.into_iter().all(|said| said.at < sent.at)
        });
        if let Some((said, with)) = out {
            return format!("with {} since {} ({})", with.to, said.written, with.order);
        }
        if let Some(fitted) = &self.fitted {
            return format!("fitted ({})", fitted.said.words());
        }
        if self.scrapped.is_some() {
            return "scrapped".to_owned();
        }
        if self.missing.is_some() {
            return "missing".to_owned();
        }
        if let Some((said, bath)) = &self.in_bath {
            let bath = if bath.is_empty() { "bath" } else { bath };
            return format!("in {bath} since {}", said.written);
        }
        match (&self.lies, &self.off) {
            (Some((_, place)), _) => place.clone(),
            (None, Some(_)) => "off, nobody said where it lies".to_owned(),
            (None, None) => "on the engine".to_owned(),
        }
    }

    /// The last work on the piece that can crack it, where no test for cracks came after it.
    #[must_use]
    pub fn untested_work(&self, part: &Part) -> Option<&Worked> {
        let work = self.worked.iter().rfind(|work| part.is_tested_again_after(&work.operation))?;
        let again = |test: &TestNow| test.finds_cracks_in(part) && work.said.at <= test.said.at;
        (!self.tests.iter().any(again)).then_some(work)
    }

    /// It is asked where it lies from when it came off, or out of a bath, without a word on that.
    fn place_said(&mut self, said: &Said, event: PartEvent) {
        let is_off = match event {
            PartEvent::Off | PartEvent::OutOfBath | PartEvent::Cleaned | PartEvent::Replaced => true,
            PartEvent::Fitted | PartEvent::Scrapped | PartEvent::Missing | PartEvent::IntoBath => false,
            PartEvent::Moved | PartEvent::StampRead => self.unplaced.is_some(),
        };
        let known = self.lies.is_some() || self.in_bath.is_some() || self.off.is_none();
        self.unplaced = (is_off && !known).then(|| self.unplaced.take().unwrap_or_else(|| said.clone()));
    }

    /// Nobody says where it lies, and it is with nobody else: since when.
    #[must_use]
    pub fn nobody_knows_where(&self) -> Option<&Said> {
        let elsewhere = self.out.is_some() || self.fitted.is_some() || self.gone().is_some();
        self.unplaced.as_ref().filter(|_| !elsewhere)
    }

    /// What carries it was replaced by another piece: where it was in already, it goes in anew.
    pub(super) fn came_off_with_it(&mut self, said: &Said) {
        if self.fitted.take().is_some() {
            self.off = Some(said.clone());
        }
    }

    /// What no longer holds of a place once another piece lies there.
    fn renew(&mut self, said: Said, state: Option<PartState>) {
        let instance = self.instance + 1;
        let lies = self.lies.take();
        let unplaced = lies.is_none().then(|| said.clone());
        let renewed = Some(said.clone());
        *self = Self { instance, state, renewed, off: Some(said), lies, unplaced, ..Self::default() };
    }

    pub(super) fn happened(&mut self, said: &Said, body: &PartBody) {
        if !body.r#where.is_empty() && body.event != PartEvent::IntoBath {
            self.lies = Some((said.clone(), body.r#where.clone()));
        }
        match body.event {
            PartEvent::Off => {
                (self.off, self.missing, self.fitted) = (Some(said.clone()), None, None);
            }
            PartEvent::Moved => self.in_bath = None,
            PartEvent::IntoBath => {
                // Where it lay before says nothing of where it lies when it is out again.
                (self.in_bath, self.lies) = (Some((said.clone(), body.r#where.clone())), None);
            }
            PartEvent::OutOfBath => self.in_bath = None,
            PartEvent::Cleaned => {
                (self.cleaned, self.in_bath) = (Some((said.clone(), body.method.clone())), None);
            }
            PartEvent::Fitted => {
                self.in_bath = None;
                self.fitted = Some(FittedNow {
                    said: said.clone(),
                    state: body.state,
                    size: None,
                    way_round: body.way_round.clone(),
                });
            }
            // What is gone is not in the engine, whatever was said before.
            PartEvent::Scrapped => (self.scrapped, self.fitted) = (Some(said.clone()), None),
            PartEvent::Missing => (self.missing, self.fitted) = (Some(said.clone()), None),
            PartEvent::Replaced => self.renew(said.clone(), body.state),
            PartEvent::StampRead => {}
        }
        // After the match: what is said of a replacement is said of the piece that lies there now.
        // How it went in is said of its fitting, and held against how it came off.
        if !body.way_round.is_empty() && body.event != PartEvent::Fitted {
            self.way_round.clone_from(&body.way_round);
        }
        if !body.marks.is_empty() {
            self.marks.clone_from(&body.marks);
        }
        self.place_said(said, body.event);
        let stamps = body.stamps.iter().filter_map(|stamp| Some((fold_name(&stamp.group), stamp.size?)));
        self.stamps.extend(stamps);
    }
}
