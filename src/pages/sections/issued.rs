//! The papers that were issued, each with the hash of its bytes.

use crate::pages::JobView;
use crate::pages::section::{Block, Cell, Section, Table};

/// Every version of every paper, and whether the engine is open again since.
pub(in crate::pages) fn issued(view: &JobView) -> Section {
    let mut section = Section::new("issued", "Issued");
    let Some(last) = view.issued.last() else { return section };
    if !view.standing.blockers.is_empty() {
        section.blocks.push(Block::Strong(format!(
            "The engine is open again since version {} was issued: see what it waits for. Another version is issued when \
             nothing is open any more.",
            last.version
        )));
    }
    let mut table = Table::of("", &["Paper", "Known up to", "Rule set", "sha256 of the file"]);
    for paper in &view.issued {
        let place = format!("../issued/{}/{}", view.job.key.slug(), paper.file());
        table.row(vec![
            Cell::link(format!("{}, version {}", paper.paper.word(), paper.version), place),
            paper.known_at().into(),
            paper.rule_set.to_string().into(),
            paper.hash.hex().into(),
        ]);
    }
    section.table(table);
    section
}
