//! What may be left out of a drop without anybody asking for it before an engine is released: kind, path, and why.
#![allow(unreachable_pub, reason = "shown to the test file")]

pub const OPTIONAL: &[(&str, &str, &str)] = &[
    ("account", "estimate.lines[]", "a customer approves the sum; lines say what it is made of"),
    ("account", "paid.how", "how it was paid is for the books"),
    ("assembly", "torque[].wrench", "a shop with one wrench need not name it"),
    ("assembly", "unit", "what is fitted without a size has no number in it"),
    ("check-in", "approver", "where nobody else is named the customer approves"),
    ("check-in", "engine.serial", "a plate may be gone; the engine is known by its job"),
    ("decision", "authority.if-declined", "where nothing is said what is declined is asked about when it is"),
    ("decision", "authority.price", "a price may be fixed later, by the estimate"),
    ("finding", "findings[].test.how", "the outcome decides; how it was tested is a help"),
    ("hardware", "pieces[].size", "the sheet has one size in that group"),
    ("measurements", "bolts", "as received means under the bolts it came with"),
    ("measurements", "readings[]", "an unworn band shows what it was made as; wear is then counted from new"),
    ("measurements", "readings[].direction", "the feature is read in one direction"),
    ("measurements", "readings[].station", "the feature is read at one station"),
    ("part", "positions", "what usually happens to all at once is said of all where none is named"),
    ("part", "unit", "nothing is stamped in that drop, so it has no number"),
    ("part", "where", "asked about on the page and in the summary, but what is fitted again is found"),
    ("work-order", "back.finished", "what came back in the size that was ordered need not say it again"),
    ("work-order", "out.finished", "what came back says its size; an order without one is not sent"),
];
