//! No size of the sheet cleans up a whole group: a journal at its smallest, a bore at its largest.

use crate::facts::{Digest, Role};
use crate::metrology::Unit;
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::planning::GroupPlan;
use crate::stages::BlockerRule;

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    let unit = view.job.sheet.as_ref().map_or(Unit::Inch, |sheet| sheet.unit);
    view.plans.iter().filter(|plan| plan.step.is_none()).filter_map(|plan| item(view, plan, unit)).collect()
}

fn item(view: &JobView, plan: &GroupPlan, unit: Unit) -> Option<AlertItem> {
    let beyond: Vec<&str> =
        plan.needs.iter().filter(|need| need.safe_step.is_none()).map(|need| need.name.as_str()).collect();
    let first = beyond.first()?;
    let waits = view
        .standing
        .blockers
        .iter()
        .any(|blocker| blocker.rule == BlockerRule::Decided && plan.because.contains(&blocker.about));
    let mut lines = vec![format!("no size clears {}", beyond.join(", "))];
    if let Some(size) = plan.optimistic {
        let size = size.show(unit);
        lines
            .push(format!("it would clean up at {size} only if the work follows the wear, off the old axis"));
    }
    lines.push("next: decide on a sleeve, weld or another part, for these or for all".to_owned());
    Some(AlertItem {
        key: format!("no size/{}", plan.group),
        evidence: Digest::of(format!("{}|{}", beyond.join("|"), plan.optimistic.is_some()).as_bytes()),
        role: Role::Owner,
        heading: "No size left",
        headline: format!("no size left for {}", if beyond.len() == 1 { first } else { plan.group.as_str() }),
        first: format!("{}: no size of the sheet cleans up all of them", plan.group),
        lines,
        corrected: false,
        waits,
        cautions: Vec::new(),
    })
}
