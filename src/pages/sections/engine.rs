//! Whose engine it is, what came, and what was asked for.

use crate::pages::JobView;
use crate::pages::section::Block;
use crate::pages::sections::{headed, joined};
use crate::shop::Job;

/// The engine in a few lines, under the title of its page.
pub(in crate::pages) fn about(view: &JobView) -> Vec<Block> {
    let job = &view.job;
    let mut blocks = Vec::new();
    if let Some(stored) = job.stored() {
        let again = stored.due_again.map_or_else(String::new, |day| format!(", due again {day}"));
        let how = if stored.preserved.is_empty() { "not said how" } else { &stored.preserved };
        let line = format!(
            "Stored, not authorised, since {} ({}). Preserved: {how}{again}.",
            stored.written, stored.name
        );
        blocks.push(Block::Strong(line));
    }
    if let Some(sheet) = &job.sheet {
        blocks.push(Block::Line(sheet_line(job)));
        if !sheet.notice.is_empty() {
            blocks.push(Block::Quiet(sheet.notice.clone()));
        }
    }
    blocks.extend(received(job).into_iter().filter(|line| !line.is_empty()).map(Block::Line));
    blocks
}

/// `Ostervane OV-24, sheet OV-24 revision 1, judged in inches.`
fn sheet_line(job: &Job) -> String {
    job.sheet.as_ref().map_or_else(String::new, |sheet| {
        let unit = sheet.unit.of_length("inches", "millimetres").unwrap_or(sheet.unit.symbol());
        format!("{}, sheet {} revision {}, judged in {unit}.", sheet.name, sheet.key, sheet.revision)
    })
}

fn received(job: &Job) -> Vec<String> {
    let Some(check_in) = &job.check_in else { return Vec::new() };
    let castings = headed("castings ", &check_in.engine.castings.join(", "));
    let who = joined(
        &[
            &joined(&[&check_in.customer.name, &check_in.customer.reach], ", "),
            &headed("checked in ", job.checked_in.as_deref().unwrap_or_default()),
            &headed("promised ", check_in.promised.as_deref().unwrap_or_default()),
            &headed("serial ", &check_in.engine.serial),
            &castings,
            &headed("came: ", &check_in.scope.join(", ")),
            &headed("stands ", &check_in.place),
        ],
        "; ",
    );
    let told = joined(
        &[
            &headed("run ", &check_in.hours),
            if check_in.turns { "" } else { "does not turn" },
            &headed("still in it: ", &check_in.fluids),
            &headed("missing or broken: ", &check_in.missing.join(", ")),
            &check_in.remarks,
            &headed("pictures ", &check_in.pictures.join(", ")),
        ],
        "; ",
    );
    let wishes = joined(
        &[
            check_in.wishes.aim.as_deref().unwrap_or_default(),
            if check_in.wishes.keep_standard_bore { "keep the bore standard" } else { "" },
            &headed("at most ", check_in.wishes.ceiling.as_deref().unwrap_or_default()),
        ],
        ", ",
    );
    vec![
        who,
        headed("Complaint: ", &check_in.complaint),
        headed("On arrival: ", &told),
        headed("Wishes: ", &wishes),
        headed("May approve money: ", &check_in.approver),
    ]
}
