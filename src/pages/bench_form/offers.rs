//! Which list a field of a drop is chosen from, in which order fields are asked, and what one field asks of another.
//!
//! The schemas say what a field may hold; these small tables say what the engine knows about it. A field that stands
//! in no table is still on the form, as plain as its schema.

/// How a field is helped by what the engine and the shop know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Offer {
    /// Nothing is known: it is typed.
    Typed,
    /// One of this list and nothing else.
    Chosen(&'static str),
    /// Typed, with this list to choose from.
    Suggested(&'static str),
    /// Ticked among what the field `after` has, as `of` lists it.
    Ticked {
        /// The field beside it that decides.
        after: &'static str,
        /// The table of choices by that field's value.
        of: &'static str,
    },
}

/// The offer for a field at a path of the body: `findings/part`.
pub(super) fn offer(kind: &str, path: &str) -> Offer {
    let mut steps = path.rsplit('/');
    let (key, above) = (steps.next().unwrap_or_default(), steps.next().unwrap_or_default());
    match (key, above, kind) {
        ("part", ..) => Offer::Chosen("parts"),
        ("feature", "accept", _) => Offer::Chosen("judged"),
        ("feature", ..) => Offer::Chosen("features"),
        ("check", ..) => Offer::Chosen("checks"),
        ("group", "stamps", _) => Offer::Chosen("classes"),
        ("group", "torque", _) => Offer::Chosen("joints"),
        ("group", ..) => Offer::Chosen("groups"),
        ("sheet", "", "check-in") => Offer::Chosen("sheets"),
        ("scope", ..) => Offer::Ticked { after: "sheet", of: "scopes" },
        ("places", "torque", _) => Offer::Ticked { after: "group", of: "bolt-places" },
        ("stages", ..) => Offer::Ticked { after: "group", of: "stages" },
        ("positions", above, _) => match above {
            "places" | "work" => Offer::Ticked { after: "feature", of: "feature-positions" },
            "accept" => Offer::Ticked { after: "feature", of: "judged-positions" },
            _ => Offer::Ticked { after: "part", of: "part-positions" },
        },
        ("order", "", "work-order") => Offer::Suggested("orders"),
        ("item", "", "supply") => Offer::Suggested("parts"),
        ("size", "pieces", _) => Offer::Typed,
        ("size" | "finished" | "stamped", ..) => Offer::Suggested("sizes"),
        ("instrument", "", "gauge") => Offer::Suggested("instruments"),
        ("gauge" | "set-by", "", _) | ("wrench", ..) => Offer::Suggested("gauges"),
        ("name" | "by" | "agreed-by" | "accepted-by" | "approver" | "carried-by", ..) => {
            Offer::Suggested("people")
        }
        _ => Offer::Typed,
    }
}

/// Fields in the order a person thinks of them: what it is about first, its places next, remarks last. A field that
/// others follow stands before them.
const ORDER: [&str; 92] = [
    "order",
    "sheet",
    "scope",
    "customer",
    "engine",
    "part",
    "feature",
    "group",
    "check",
    "item",
    "step",
    "drop",
    "condition",
    "gauge",
    "instrument",
    "set-by",
    "zero",
    "calibrated",
    "bad-since",
    "unit",
    "to",
    "operation",
    "work",
    "event",
    "findings",
    "checks",
    "fitted",
    "torque",
    "tries",
    "closes",
    "positions",
    "position",
    "station",
    "direction",
    "places",
    "parts",
    "stages",
    "kind",
    "defect",
    "severity",
    "where",
    "result",
    "state",
    "size",
    "count",
    "granted",
    "gate",
    "rule",
    "about",
    "what",
    "characteristic",
    "amount",
    "lines",
    "not-to-exceed",
    "due",
    "expires",
    "finished",
    "before",
    "after",
    "removed",
    "setting",
    "readings",
    "pieces",
    "lubricant",
    "bolts",
    "wrench",
    "final",
    "slackened",
    "bag",
    "place",
    "way-round",
    "marks",
    "trouble",
    "method",
    "value",
    "temperatures",
    "bolts-note",
    "plate",
    "name",
    "by",
    "agreed-by",
    "accepted-by",
    "how",
    "price",
    "why",
    "test",
    "problem",
    "waits-on",
    "disposition",
    "option",
    "evidence",
    "note",
];

/// Where a field comes among its neighbours.
pub(super) fn rank(key: &str) -> usize {
    // What stands in no table comes just before the remarks.
    ORDER.iter().position(|known| *known == key).unwrap_or(ORDER.len() - 2)
}

/// Fields that the house needs in a case their schema alone cannot say: kind, path, the field that decides, its values.
const NEEDED_WHEN: [(&str, &str, &str, &[&str]); 7] = [
    ("part", "positions", "event", &["scrapped", "missing", "replaced", "stamp read"]),
    ("hardware", "why", "state", &["scrapped", "spare", "lost", "broken"]),
    ("part", "method", "event", &["cleaned"]),
    ("assembly", "checks/why", "result", &["no", "not on this engine"]),
    ("decision", "approval/why", "granted", &["no"]),
    ("sign-off", "preserved", "step", &["stored"]),
    ("sign-off", "due-again", "step", &["stored"]),
];

/// In which case a field is needed though its schema does not require it: the field that decides, and its values.
pub(super) fn needed_when(kind: &str, path: &str) -> Option<(&'static str, &'static [&'static str])> {
    let mut rows = NEEDED_WHEN.iter();
    rows.find(|(of, at, ..)| *of == kind && *at == path).map(|(_, _, key, values)| (*key, *values))
}

/// Fields whose unit is asked only with them, where the schema leaves that to the reader.
pub(super) const UNIT_WITH: [(&str, &[&str]); 2] = [("part", &["stamps"]), ("assembly", &["fitted"])];

/// Fields of which at least one is needed.
pub(super) const ANY_OF: [(&str, &[&str]); 1] = [("operation", &["places", "parts"])];

/// Fields of which a drop has one at the most.
pub(super) const MOST_ONE_OF: [(&str, &[&str]); 1] = [("gauge", &["zero", "calibrated", "bad-since"])];

/// Kinds that are about the shop and not about the engine whose form it is.
pub(super) const OF_SHOP: [&str; 1] = ["gauge"];

/// Lists that begin with an open row though they may be left out.
pub(super) const OPEN: [(&str, &str); 3] =
    [("finding", "findings"), ("operation", "places"), ("assembly", "fitted")];

/// Fields of a set of readings that are asked less often.
pub(super) const ASIDE: [&str; 5] = ["temperatures", "bolts", "bolts-note", "plate", "setting"];

/// Fields that stay after saving, by kind, with the field they stay for: the next set is mostly taken in the same condition, the
/// next part goes the same way. The gauge stays for the feature it read: kept for longer, it stands beside readings that another
/// took.
pub(super) const STAYS: [(&str, &[&str], &str); 6] = [
    ("measurements", &["gauge"], "feature"),
    ("measurements", &["condition", "unit", "temperatures", "bolts", "bolts-note", "plate"], "yes"),
    ("part", &["event"], "yes"),
    ("part", &["where", "method"], "event"),
    ("hardware", &["state"], "yes"),
    ("hardware", &["place"], "state"),
];
