//! What is known of a place: read, else as the sheet aims at it less what was already taken off.

use super::effect::shown;
use crate::judgement::{Judged, Judgement};
use crate::metrology::{Exact, Unit};
use crate::sheets::Characteristic;
use crate::shop::SurfaceKey;

/// A value and where it comes from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Known {
    pub(super) value: Exact,
    pub(super) read: bool,
}

impl Known {
    pub(super) const fn nominal(value: Exact) -> Self {
        Self { value, read: false }
    }

    /// `58.0 cc, read`.
    pub(super) fn words(self, unit: Unit) -> String {
        format!("{}, {}", shown(self.value, unit), self.origin())
    }

    pub(super) const fn origin(self) -> &'static str {
        if self.read { "read" } else { "not read: as the sheet aims at" }
    }
}

/// What the readings of a surface give as it stands now; of a surface also read at assembly, that.
pub(super) fn judged<'a>(
    judgement: &'a Judgement,
    surface: SurfaceKey,
    characteristics: &[Characteristic],
) -> Option<&'a Judged> {
    let of_surface = judgement.standing().filter(|verdict| {
        verdict.key.surface == surface && characteristics.contains(&verdict.key.characteristic)
    });
    let judged = of_surface.filter_map(|verdict| Some((verdict.key.condition, verdict.judged.as_ref()?)));
    judged.max_by_key(|(condition, _)| *condition).map(|(_, judged)| judged)
}
