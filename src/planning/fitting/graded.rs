//! Graded shells: which grade a journal gets by the table of its sheet, from the grades that housing and journal were
//! measured to be (trade notes B5).

use crate::metrology::Exact;
use crate::planning::fitting::shells::ShellSet;
use crate::sheets::{Feature, Limits, Pair, Sheet};

/// Shells of one journal by its grades.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GradedShell {
    /// `main clearance 3`.
    pub name: String,
    /// Grade of the housing; `None` where its readings lie in no one grade.
    pub outer: Option<String>,
    /// Grade of the journal; the same.
    pub inner: Option<String>,
    /// Grade of the shells; `None` where the table has none for the two.
    pub shell: Option<String>,
    /// Tightest and loosest with any shells of that grade.
    pub clearance: Option<(Exact, Exact)>,
}

/// Every place that is known and not to be ground, of a pair that has the table.
pub(super) fn graded(sheet: &Sheet, set: &ShellSet) -> Vec<GradedShell> {
    let pair = sheet.pairs.iter().find(|pair| pair.key == set.pair && !pair.shell_grades.is_empty());
    let Some(pair) = pair else { return Vec::new() };
    let feature = |index: usize| sheet.features.get(index);
    let (Some(outer), Some(inner)) = (feature(pair.outer.feature), feature(pair.inner.feature)) else {
        return Vec::new();
    };
    let places = set.places.iter().filter(|place| !place.to_be_ground);
    places
        .map(|place| {
            let grades = (grade_of(outer, place.outer), grade_of(inner, place.inner));
            let shell = match &grades {
                (Some(outer), Some(inner)) => shell_for(pair, outer, inner),
                (None, _) | (_, None) => None,
            };
            let walls = shell.as_ref().and_then(|shell| wall_of(sheet, pair, shell));
            let clearance = walls.and_then(|(wall, count)| {
                let (thin, thick) = (wall.min? * count, wall.max? * count);
                Some((place.outer.0 - thick - place.inner.1, place.outer.1 - thin - place.inner.0))
            });
            GradedShell { name: place.name.clone(), outer: grades.0, inner: grades.1, shell, clearance }
        })
        .collect()
}

/// The one grade that both ends lie in; at a common bound the first.
fn grade_of(feature: &Feature, ends: (Exact, Exact)) -> Option<String> {
    let holds = |limits: &Limits| limits.outside(ends.0).is_none() && limits.outside(ends.1).is_none();
    feature.grades.iter().find(|(_, limits)| holds(limits)).map(|(name, _)| name.clone())
}

fn shell_for(pair: &Pair, outer: &str, inner: &str) -> Option<String> {
    let line = pair.shell_grades.iter().find(|line| line.outer == outer && line.inner == inner)?;
    Some(line.shell.clone())
}

/// Limits of a wall of that grade, and how many lie in the pair.
fn wall_of(sheet: &Sheet, pair: &Pair, shell: &str) -> Option<(Limits, i32)> {
    let walls = pair.walls.as_ref()?;
    let feature = sheet.features.get(walls.feature)?;
    let (_, limits) = feature.grades.iter().find(|(name, _)| name == shell)?;
    Some((*limits, i32::try_from(walls.stations_of(feature).len()).ok()?))
}
