//! Every kind can be dropped as a table: each example that is flat enough is written as one and read back the same.

use super::*;
use crate::tables::flat_examples;
use benchdrop::facts::KINDS;

#[test]
fn flat_examples_of_every_kind_are_the_same_as_tables() {
    let mut carried = Vec::new();
    for (path, kind, table, document) in flat_examples() {
        let of_json = taken(document.to_string().as_bytes());
        assert_eq!(taken(table.as_bytes()).id, of_json.id, "{}\n{table}", path.display());
        carried.push(kind);
    }
    // A sheet's rows lie two lists deep, and house rules and price lists have two lists side by side.
    for (kind, _, _) in KINDS {
        let is_deep = ["sheet", "house-rules", "price-list"].contains(&kind);
        assert!(is_deep || carried.contains(&kind), "{kind} has no example that a table can carry");
    }
}
