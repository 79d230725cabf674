//! The engine, its hardware and its checks as they are written.

use serde::Deserialize;

/// The kind of engine.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct EngineWritten {
    /// What the cylinder walls are; plain iron where left out.
    #[serde(default)]
    pub bore_surface: Option<String>,
    /// Mains torqued as one bedplate.
    #[serde(default)]
    pub bedplate: bool,
    /// `asked` or `not asked`.
    #[serde(default)]
    pub torque_plate: Option<String>,
    /// Valves meet pistons.
    #[serde(default)]
    pub interference: Option<bool>,
    /// What it burns.
    #[serde(default)]
    pub fuel: Option<String>,
    /// Where its camshafts lie.
    #[serde(default)]
    pub cams: Option<String>,
}

/// A fact for people.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct DatumWritten {
    /// What it is.
    pub name: String,
    /// What it says.
    pub value: String,
}

/// Words for the customer's page.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct ForCustomerWritten {
    /// The oil to use.
    pub oil: String,
    /// The coolant to use.
    pub coolant: String,
    /// How this engine is broken in.
    pub break_in: Vec<String>,
}

/// A number that is read for a check.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ReadsWritten {
    /// Its unit.
    pub unit: String,
    /// The least.
    #[serde(default)]
    pub min: Option<String>,
    /// The most.
    #[serde(default)]
    pub max: Option<String>,
}

/// A thread: threads to the inch, or a pitch in millimetres.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ThreadWritten {
    /// Outer diameter, in inches with `per-inch`, in millimetres with `pitch`.
    pub diameter: String,
    /// Threads to the inch.
    #[serde(default)]
    pub per_inch: Option<u32>,
    /// Distance from thread to thread in millimetres.
    #[serde(default)]
    pub pitch: Option<String>,
}

/// One size within a fastener group.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct FastenerSizeWritten {
    /// As the label says it.
    pub size: String,
    /// How many.
    pub count: u32,
    /// Where they go.
    #[serde(default)]
    pub places: Vec<String>,
    /// Thread.
    #[serde(default)]
    pub thread: Option<ThreadWritten>,
    /// Length under the head.
    #[serde(default)]
    pub length: Option<String>,
    /// What the head lies on.
    #[serde(default)]
    pub stack: Option<String>,
    /// Depth of a blind hole.
    #[serde(default)]
    pub hole: Option<String>,
    /// Torques of this size.
    #[serde(default)]
    pub stages: Vec<String>,
    /// The same in the other unit.
    #[serde(default)]
    pub other_stages: Vec<String>,
}

/// Pieces of a fastener group that are always new.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct AlwaysNewWritten {
    /// One of its sizes, or what goes with them.
    pub what: String,
    /// How many.
    pub count: u32,
}

/// The bolts of a group seen from above.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LayoutWritten {
    /// What lies to the left.
    #[serde(default)]
    pub left: String,
    /// What lies to the right.
    #[serde(default)]
    pub right: String,
    /// Rows from top to bottom.
    pub rows: Vec<LayoutRowWritten>,
}

/// One row of a layout.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LayoutRowWritten {
    /// What side it is.
    #[serde(default)]
    pub name: String,
    /// Bolt places from left to right, empty where no bolt stands.
    pub places: Vec<String>,
}

/// A fastener group.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct FastenersWritten {
    /// Its key.
    pub group: String,
    /// For people.
    pub name: String,
    /// For these scopes; for all where empty.
    #[serde(default)]
    pub scopes: Vec<String>,
    /// Its sizes.
    pub sizes: Vec<FastenerSizeWritten>,
    /// Grade or class.
    #[serde(default)]
    pub grade: String,
    /// Lubricant.
    pub lubricant: String,
    /// `lbf ft` or `N m`.
    pub torque_unit: String,
    /// Torques of its stages.
    #[serde(default)]
    pub stages: Vec<String>,
    /// The same in the other unit.
    #[serde(default)]
    pub other_stages: Vec<String>,
    /// Angles after the torques.
    #[serde(default)]
    pub angles: Vec<String>,
    /// Places in tightening order.
    #[serde(default)]
    pub pattern: Vec<String>,
    /// The order in words.
    #[serde(default)]
    pub pattern_words: String,
    /// Where its bolts stand.
    #[serde(default)]
    pub layout: Option<LayoutWritten>,
    /// `sheet` or `generic, not the maker's`.
    #[serde(default)]
    pub pattern_source: Option<String>,
    /// Thrown away once tightened.
    #[serde(default)]
    pub single_use: bool,
    /// What of it is always new, in words.
    #[serde(default)]
    pub renewed: String,
    /// What of it is always new, and how many.
    #[serde(default)]
    pub always_new: Vec<AlwaysNewWritten>,
    /// A cover or gasket joint.
    #[serde(default)]
    pub gasket_joint: bool,
    /// The metal its threads hold in.
    #[serde(default)]
    pub engaged_in: Option<String>,
    /// Parts that cannot come off or go in without loosening these.
    #[serde(default)]
    pub holds: Vec<String>,
    /// Features measured with these tightened.
    #[serde(default)]
    pub clamps: Vec<String>,
    /// Holes that take a sealant.
    #[serde(default)]
    pub wet: u32,
    /// A remark.
    #[serde(default)]
    pub note: String,
}

/// One size within a group of plugs or pins.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PlugSizeWritten {
    /// As the label says it.
    pub size: String,
    /// How many.
    pub count: u32,
    /// Torque.
    #[serde(default)]
    pub torque: String,
    /// The same in the other unit.
    #[serde(default)]
    pub other_torque: String,
}

/// A group of plugs or pins.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PlugsWritten {
    /// Its key.
    pub group: String,
    /// For people.
    pub name: String,
    /// For these scopes; for all where empty.
    #[serde(default)]
    pub scopes: Vec<String>,
    /// Its sizes.
    pub sizes: Vec<PlugSizeWritten>,
    /// What they are sealed with.
    #[serde(default)]
    pub sealant: String,
    /// `lbf ft` or `N m`; `N m` where left out.
    #[serde(default)]
    pub torque_unit: Option<String>,
    /// Always new.
    #[serde(default)]
    pub renewed: bool,
    /// The part they sit in.
    #[serde(default)]
    pub sits_in: Option<String>,
    /// A remark.
    #[serde(default)]
    pub note: String,
}

/// Something looked at by eye.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CheckWritten {
    /// Its key.
    pub check: String,
    /// The stage it belongs to.
    pub stage: String,
    /// `bench`, `checker` or `owner`.
    pub by: String,
    /// For these scopes; for all where empty.
    #[serde(default)]
    pub scopes: Vec<String>,
    /// What is to be looked at.
    pub words: String,
    /// By a second person.
    #[serde(default)]
    pub second: bool,
    /// Parts and fastener groups that are in before it counts.
    #[serde(default)]
    pub after: Option<Vec<String>>,
    /// Due on every such engine.
    #[serde(default)]
    pub always: bool,
    /// The number that is read for it.
    #[serde(default)]
    pub reads: Option<ReadsWritten>,
    /// Good before the engine runs for the first time; else these parts are looked at.
    #[serde(default)]
    pub before_start: Vec<String>,
    /// The engine runs for it.
    #[serde(default)]
    pub runs: bool,
}
