//! How the joints that still hold something are let go: drawn where the sheet says where the bolts stand.

use crate::pages::JobView;
use crate::pages::bolt_drawing::{letting_go, loosening as drawn, named, order_of_bolts, still_tight};
use crate::pages::section::{Block, Section, Table};
use crate::stages::Stage;

/// The order of each joint that is still to be let go; nothing once the engine is apart.
pub(in crate::pages) fn loosening(view: &JobView) -> Section {
    let mut section = Section::new("loosening", "Loosening order");
    let Some(sheet) = view.job.sheet.as_deref().filter(|_| view.standing.stage <= Stage::Teardown) else {
        return section;
    };
    let mut table = Table::of("In words", &["Joint", "Order", "How"]);
    for fasteners in still_tight(view) {
        match drawn(sheet, fasteners) {
            Some(drawing) => section.blocks.push(Block::Drawing(drawing)),
            None => table.row(vec![
                named(fasteners).into(),
                order_of_bolts(&fasteners.loosening()).into(),
                letting_go(sheet, fasteners).join("\n").into(),
            ]),
        }
    }
    if section.blocks.is_empty() {
        section.table(table);
    } else {
        section.more_table(table);
    }
    section
}
