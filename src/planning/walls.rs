//! What is left of the walls when a bore grows.

use crate::facts::SizeWord;
use crate::metrology::Exact;
use crate::planning::readings::Readings;
use crate::sheets::{Characteristic, Feature, Shape, Sheet};
use crate::shop::SurfaceKey;

/// A wall beside a bore, at the size the bore would have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wall {
    /// `wall on the thrust side`.
    pub feature: String,
    /// `wall on the thrust side 2`.
    pub name: String,
    /// What would be left of it; `None` where it was not measured.
    pub left: Option<Exact>,
    /// What must be left.
    pub least: Exact,
}

impl Wall {
    /// Too little would be left.
    #[must_use]
    pub fn is_too_thin(&self) -> bool {
        self.left.is_some_and(|left| left < self.least)
    }
}

/// The walls of a surface when it is finished to a step from where it is: each loses half of what the diameter grows.
pub(super) fn walls(
    readings: &Readings<'_>,
    sheet: &Sheet,
    key: SurfaceKey,
    from: SizeWord,
    to: Option<Exact>,
) -> Vec<Wall> {
    let Some(bore) = sheet.features.get(key.feature).filter(|feature| feature.shape == Shape::Bore) else {
        return Vec::new();
    };
    let grows = (bore.shift(to) - bore.shift(from.step())).part(1, 2);
    let beside = |feature: &&Feature| feature.shape == Shape::Shrinks && feature.moved_by == [key.feature];
    let mut found = Vec::new();
    for feature in sheet.features.iter().filter(beside) {
        let row = feature.row(Characteristic::Thickness);
        let least = row.and_then(|row| row.after_work).and_then(|limits| limits.min);
        let position = bore.positions.get(key.position).and_then(|name| feature.position(name));
        let (Some(least), Some(position)) = (least, position) else { continue };
        let index = sheet.features.iter().position(|f| f.key == feature.key).unwrap_or(key.feature);
        let wall = SurfaceKey { feature: index, position };
        let thinnest = readings.ends(wall).map(|(thinnest, _)| thinnest);
        found.push(Wall {
            feature: feature.key.clone(),
            name: readings.job.surface_name(wall),
            left: thinnest.map(|t| t - grows),
            least,
        });
    }
    found
}
