//! Bores and journals whose form the sheet limits, place by place.

use crate::judgement::{Judged, Verdict};
use crate::metrology::Exact;
use crate::pages::JobView;
use crate::pages::drawings::{Figure, Panel, above, marks, profile};
use crate::sheets::{Characteristic, Feature, Limits, Shape};
use crate::shop::Place;

/// A surface with the size of each of its places.
pub(super) struct Measured<'v> {
    pub(super) verdict: &'v Verdict,
    pub(super) judged: &'v Judged,
    pub(super) feature: &'v Feature,
    /// By direction, then by station; `None` where no reading counts.
    pub(super) sizes: Vec<Vec<Option<Exact>>>,
}

impl<'v> Measured<'v> {
    fn of(verdict: &'v Verdict, feature: &'v Feature) -> Option<Self> {
        let judged = verdict.judged.as_ref()?;
        let size = |station, direction| {
            let name = Place { station, direction }.name(feature);
            let shown = judged.places.iter().find(|place| place.name == name)?;
            Some(shown.value)
        };
        let along = |direction| (0..feature.stations.len()).map(|station| size(station, direction)).collect();
        let sizes: Vec<Vec<Option<Exact>>> = (0..feature.directions.len()).map(along).collect();
        let is_read = sizes.iter().flatten().any(Option::is_some);
        is_read.then_some(Self { verdict, judged, feature, sizes })
    }

    /// Every size that was read.
    pub(super) fn read(&self) -> impl Iterator<Item = f64> {
        self.sizes.iter().flatten().flatten().map(|size| size.to_mm())
    }

    /// The limits that decide, smallest and largest.
    pub(super) fn limits(&self) -> [Option<f64>; 2] {
        let limits = self.judged.deciding.map(|deciding| deciding.limits);
        [limits.and_then(|limits| limits.min), limits.and_then(|limits| limits.max)]
            .map(|bound| bound.map(Exact::to_mm))
    }

    /// The new limits, where others decide.
    pub(super) fn new_limits(&self) -> [Option<f64>; 2] {
        let new =
            self.judged.deciding.and_then(|deciding| deciding.new.filter(|new| *new != deciding.limits));
        [new.and_then(|new| new.min), new.and_then(|new| new.max)].map(|bound| bound.map(Exact::to_mm))
    }

    /// Is a size outside the limits that decide?
    pub(super) fn is_beyond(&self, size: Exact) -> bool {
        self.judged.deciding.is_some_and(|deciding| {
            let Limits { min, max } = deciding.limits;
            min.is_some_and(|min| size < min) || max.is_some_and(|max| size > max)
        })
    }

    /// Everything that a scale must hold.
    pub(super) fn all(&self) -> impl Iterator<Item = f64> {
        self.read().chain(self.limits().into_iter().chain(self.new_limits()).flatten())
    }

    /// All places with their sizes.
    pub(super) fn words(&self) -> String {
        let unit = self.verdict.unit;
        let places =
            self.judged.places.iter().map(|place| format!("{} {}", place.name, place.value.show(unit)));
        format!(
            "{}: {}; limit {}",
            self.verdict.name,
            places.collect::<Vec<_>>().join(", "),
            self.judged.limit_words(unit)
        )
    }
}

/// One figure for each feature whose out-of-round or taper the sheet limits.
pub(super) fn forms(view: &JobView) -> Vec<Figure> {
    let features = view.job.sheet.as_ref().map_or(&[][..], |sheet| sheet.features.as_slice());
    let figures = features.iter().enumerate().filter(|(_, feature)| has_form(feature));
    figures.filter_map(|(index, feature)| figure(view, index, feature)).collect()
}

fn has_form(feature: &Feature) -> bool {
    let is_round = matches!(feature.shape, Shape::Bore | Shape::Shaft);
    is_round
        && [Characteristic::OutOfRound, Characteristic::Taper].iter().any(|what| feature.row(*what).is_some())
}

fn figure(view: &JobView, index: usize, feature: &Feature) -> Option<Figure> {
    let sizes = view.judgement.standing().filter(|verdict| {
        verdict.key.surface.feature == index && verdict.key.characteristic == Characteristic::Size
    });
    let all: Vec<Measured<'_>> = sizes.filter_map(|verdict| Measured::of(verdict, feature)).collect();
    let first = all.first()?;
    // Cylinders are looked into from above; a row of housings so drawn says nothing that their lines beside do not.
    let is_bored = feature.shape == Shape::Bore && feature.sizes.is_some();
    let from_above = is_bored.then(|| above::Oval::of(&all)).flatten();
    let mut notes = vec![notes_of(feature, first)];
    notes.extend(from_above.as_ref().map(above::Oval::note));
    let panels = all.iter().map(|one| {
        let mut drawings = vec![profile::profile(one, &all)];
        drawings.extend(from_above.as_ref().map(|oval| oval.drawing(one)));
        Panel { drawings, caption: caption(view, one), beyond: one.verdict.is_beyond() }
    });
    Some(Figure { title: feature.key.clone(), notes, panels: panels.collect() })
}

fn notes_of(feature: &Feature, first: &Measured<'_>) -> String {
    let along = if feature.shape == Shape::Bore { "From top to bottom" } else { "From left to right" };
    format!(
        "{along}: {}; {}. Limit of {}: {}.",
        feature.stations.join(", "),
        marks::key(&feature.directions),
        first.verdict.name,
        first.judged.limit_words(first.verdict.unit)
    )
}

/// `bore 1: 3.6402 in; out-of-round 0.0000, taper 0.0000`.
fn caption(view: &JobView, one: &Measured<'_>) -> String {
    let key = &one.verdict.key;
    let unit = one.verdict.unit;
    let form = view.judgement.standing().filter(|verdict| {
        verdict.key.surface == key.surface
            && verdict.key.condition == key.condition
            && matches!(verdict.key.characteristic, Characteristic::OutOfRound | Characteristic::Taper)
    });
    let form = form.filter_map(|verdict| {
        let judged = verdict.judged.as_ref()?;
        let beyond = if verdict.is_beyond() { ", beyond" } else { "" };
        Some(format!("{} {}{beyond}", verdict.key.characteristic.word(), judged.value.show(unit)))
    });
    let form = form.collect::<Vec<_>>().join("; ");
    let missing = if one.verdict.missing.is_empty() {
        String::new()
    } else {
        format!("; missing: {}", one.verdict.missing.join(", "))
    };
    let between = if form.is_empty() { "" } else { "; " };
    format!(
        "{}, {}: {}{between}{form}{missing}",
        one.verdict.name,
        key.condition.word(),
        one.judged.value_words(unit)
    )
}
