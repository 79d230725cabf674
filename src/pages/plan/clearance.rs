//! What the clearance of a ground journal asks for beyond its size, in words.

use crate::judgement::words;
use crate::pages::JobView;
use crate::pages::plan::lines::surface;
use crate::pages::sections::unit_of;
use crate::planning::{Foreseen, PlanLine};
use crate::sheets::Limits;
use crate::shop::{Job, SurfaceKey};

/// Limits closer than those of the size, for the clearance.
pub(super) fn narrowed(line: &PlanLine) -> Option<&Limits> {
    match line.foreseen.as_ref()? {
        Foreseen::Finished(limits) => Some(limits),
        Foreseen::Holds | Foreseen::ToShells(_) | Foreseen::Never { .. } => None,
    }
}

/// How the journal of a line must be finished for its clearance, where its size alone does not say so.
pub(super) fn foreseen(view: &JobView, line: &PlanLine) -> Option<String> {
    clearance_words(&view.job, surface(line)?, line.foreseen.as_ref()?)
}

/// How a journal must be finished for its clearance, where its size alone does not say so.
pub(in crate::pages) fn clearance_words(
    job: &Job,
    journal: SurfaceKey,
    foreseen: &Foreseen,
) -> Option<String> {
    let unit = unit_of(job);
    let name = job.surface_name(journal);
    let shown = |limits: &Limits| format!("{} {}", words::limits(limits, unit), unit.symbol());
    match foreseen {
        Foreseen::Finished(limits) => {
            Some(format!("{name}: finish it to {} for the clearance in its housing", shown(limits)))
        }
        Foreseen::ToShells(limits) => Some(format!(
            "{name}: measure the shells in its housing first and finish it to them, clearance {}",
            shown(limits)
        )),
        Foreseen::Holds | Foreseen::Never { .. } => None,
    }
}
