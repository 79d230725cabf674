//! Pairs: features that stack into a clearance.

use crate::sheets::feature::Feature;
use crate::sheets::row::Row;

/// One feature's part in a stack.
#[derive(Clone, Debug)]
pub struct Member {
    /// Index of the feature in the sheet.
    pub feature: usize,
    /// Stations that count; empty means all. Each station listed stacks once for a wall.
    pub stations: Vec<usize>,
    /// Directions that count; empty means all.
    pub directions: Vec<usize>,
}

/// A clearance: outer less walls less inner, position by position.
#[derive(Clone, Debug)]
pub struct Pair {
    /// The word drops use.
    pub key: String,
    /// For people.
    pub name: String,
    /// The bore.
    pub outer: Member,
    /// Directions of the bore that count where its wear decides: the thrust direction of a cylinder. All where empty.
    pub reuse_directions: Vec<usize>,
    /// Walls between, one term for each station (an upper and a lower shell).
    pub walls: Option<Member>,
    /// Which of the walls, in their order, lies in the loaded half; `None` where the sheet does not say.
    pub loaded: Option<usize>,
    /// The shaft.
    pub inner: Member,
    /// Outer and inner are fitted grade to grade at standard, so limits are stated for like grades.
    pub by_grade: bool,
    /// Which grade of shell goes with which grades of housing and journal, at standard; empty for most.
    pub shell_grades: Vec<ShellGrade>,
    /// The row that judges it.
    pub row: Row,
}

/// A line of the table of graded shells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShellGrade {
    /// Grade of the housing.
    pub outer: String,
    /// Grade of the journal.
    pub inner: String,
    /// Grade of the shells.
    pub shell: String,
}

impl Member {
    /// Indices of the stations that count.
    #[must_use]
    pub fn stations_of(&self, feature: &Feature) -> Vec<usize> {
        listed_or_all(&self.stations, feature.stations.len())
    }

    /// Indices of the directions that count.
    #[must_use]
    pub fn directions_of(&self, feature: &Feature) -> Vec<usize> {
        listed_or_all(&self.directions, feature.directions.len())
    }
}

fn listed_or_all(listed: &[usize], all: usize) -> Vec<usize> {
    if listed.is_empty() { (0..all).collect() } else { listed.to_vec() }
}

impl Pair {
    /// Its members, outer first.
    pub fn members(&self) -> impl Iterator<Item = &Member> {
        [Some(&self.outer), self.walls.as_ref(), Some(&self.inner)].into_iter().flatten()
    }
}
