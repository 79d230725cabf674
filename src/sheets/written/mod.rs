//! A sheet as it is written: the body of a sheet drop. Shapes only; see the schema for the words.
//!
//! Everything but the engine's name, unit, scopes, parts and features may be left out, so that a small sheet stays
//! small and a sheet written for an earlier schema still reads. Limits are digits here and become exact in
//! `read`; nothing is judged or checked.

mod geometry;
mod hardware;
mod row;

pub use geometry::{
    BankWritten, GeometryWritten, HeadGasketWritten, RoleWritten, SpringsWritten, ValveWritten,
};
pub use hardware::{
    CheckWritten, DatumWritten, EngineWritten, FastenerSizeWritten, FastenersWritten, ForCustomerWritten,
    LayoutRowWritten, LayoutWritten, PlugSizeWritten, PlugsWritten, ReadsWritten, ThreadWritten,
};
pub use row::{AskedWritten, ColumnsWritten, LimitsWritten, RowWritten, TermWritten};

use serde::Deserialize;

/// The body of a sheet drop.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SheetWritten {
    /// The sheet's key.
    pub sheet: String,
    /// Its revision.
    pub revision: u32,
    /// The engine family.
    pub name: String,
    /// Printed wherever its limits are.
    #[serde(default)]
    pub notice: String,
    /// `in` or `mm`.
    pub unit: String,
    /// What can come in.
    pub scopes: Vec<ScopeWritten>,
    /// Materials by key.
    pub materials: Vec<MaterialWritten>,
    /// Part kinds.
    pub parts: Vec<PartWritten>,
    /// Features.
    pub features: Vec<FeatureWritten>,
    /// Pairs.
    #[serde(default)]
    pub pairs: Vec<PairWritten>,
    /// The kind of engine.
    #[serde(default)]
    pub engine: EngineWritten,
    /// Facts for people.
    #[serde(default)]
    pub data: Vec<DatumWritten>,
    /// Words for the customer's page.
    #[serde(default)]
    pub customer: ForCustomerWritten,
    /// Fastener groups.
    #[serde(default)]
    pub fasteners: Vec<FastenersWritten>,
    /// Sealing plugs.
    #[serde(default)]
    pub plugs: Vec<PlugsWritten>,
    /// Locking pins.
    #[serde(default)]
    pub pins: Vec<PlugsWritten>,
    /// Checks.
    #[serde(default)]
    pub checks: Vec<CheckWritten>,
    /// What cuts move.
    #[serde(default)]
    pub geometry: Option<GeometryWritten>,
}

/// A scope.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ScopeWritten {
    /// The word check-ins use.
    pub scope: String,
    /// For people.
    pub name: String,
}

/// A material.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct MaterialWritten {
    /// Its key.
    pub material: String,
    /// Linear expansion in ppm per degree Celsius.
    pub expansion: String,
    /// How uncertain that is, in the same unit.
    pub uncertainty: String,
    /// What it is, as baths and crack tests ask.
    #[serde(default)]
    pub metal: Option<String>,
}

/// A part kind.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PartWritten {
    /// Its key.
    pub part: String,
    /// Key of its material.
    pub material: String,
    /// Always renewed.
    #[serde(default)]
    pub renewed: bool,
    /// Its positions.
    #[serde(default)]
    pub positions: Vec<String>,
    /// For these scopes; for all where empty.
    #[serde(default)]
    pub scopes: Vec<String>,
    /// Comes off at teardown.
    #[serde(default)]
    pub strip: bool,
    /// Needs a finding.
    #[serde(default)]
    pub look: bool,
    /// Needs a crack test.
    #[serde(default)]
    pub crack_test: bool,
    /// Needs a pressure test.
    #[serde(default)]
    pub pressure_test: bool,
    /// Size-class group it is bought by.
    #[serde(default)]
    pub sized_by: Option<String>,
    /// Operations it must be in hand for.
    #[serde(default)]
    pub before: Vec<String>,
    /// Needs a record that it was fitted.
    #[serde(default)]
    pub fitted: bool,
    /// Parts that carry it.
    #[serde(default)]
    pub sits_on: Vec<String>,
    /// Pressed to shape as it is clamped.
    #[serde(default)]
    pub crushed: bool,
    /// Holds sodium.
    #[serde(default)]
    pub sodium_filled: Option<bool>,
}

/// A feature.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct FeatureWritten {
    /// Its key.
    pub feature: String,
    /// For people.
    pub name: String,
    /// Key of its part kind.
    pub part: String,
    /// `shaft`, `bore` or `wall`; `grows`, `shrinks` or `either` for what is no diameter.
    pub shape: String,
    /// The unit it is measured in; the sheet's where left out.
    #[serde(default)]
    pub unit: Option<String>,
    /// Features whose machining moves this one.
    #[serde(default)]
    pub moved_by: Vec<String>,
    /// Parts it was made together with.
    #[serde(default)]
    pub made_with: Vec<String>,
    /// The feature an indicator runs on whose swings are read here.
    #[serde(default)]
    pub swings_on: Option<String>,
    /// The vee block in which it is turned.
    #[serde(default)]
    pub vee: Option<VeeWritten>,
    /// Often lobed.
    #[serde(default)]
    pub lobed: bool,
    /// What lobes may do to a diameter between two points.
    #[serde(default)]
    pub lobing: Option<String>,
    /// What it is to the general wear rules.
    #[serde(default)]
    pub wears_as: Option<String>,
    /// The pair a gauging strip is laid in.
    #[serde(default)]
    pub strip_of: Option<String>,
    /// Gaskets chosen by protrusion.
    #[serde(default)]
    pub gaskets: Vec<GasketWritten>,
    /// What every such gasket leaves.
    #[serde(default)]
    pub squish: Option<LimitsWritten>,
    /// Size-class group.
    #[serde(default)]
    pub group: String,
    /// Positions.
    pub positions: Vec<String>,
    /// Stations of the judged surface.
    pub stations: Vec<String>,
    /// Stations of an unworn band.
    #[serde(default)]
    pub unworn: Vec<String>,
    /// Where each station lies, when heights are read there.
    #[serde(default)]
    pub points: Vec<PointWritten>,
    /// Where each direction stands on a turn, when heights are read over it.
    #[serde(default)]
    pub angles: Vec<String>,
    /// Stations of a turn that lie on the heel.
    #[serde(default)]
    pub heel: Vec<String>,
    /// Which events of a lobe are read.
    #[serde(default)]
    pub timing: Option<TimingWritten>,
    /// The height loads are read at, in the sheet's unit.
    #[serde(default)]
    pub at_height: Option<String>,
    /// The feature with the load at another height.
    #[serde(default)]
    pub rate_with: Option<String>,
    /// Stations nearest to those of the next position.
    #[serde(default)]
    pub next: Vec<NextWritten>,
    /// The feature with the clock angles of swings.
    #[serde(default)]
    pub clock: Option<String>,
    /// Directions.
    pub directions: Vec<String>,
    /// Sizes beside standard.
    #[serde(default)]
    pub sizes: Option<SizesWritten>,
    /// What may be done about it, in order.
    #[serde(default)]
    pub remedies: Vec<RemedyWritten>,
    /// Grades at standard.
    #[serde(default)]
    pub grades: Vec<GradeWritten>,
    /// Rows.
    pub rows: Vec<RowWritten>,
}

/// What may be done when it is beyond its limit.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct RemedyWritten {
    /// The operation.
    pub operation: String,
    /// The feature that gets thinner by it, or that is cut.
    #[serde(default)]
    pub takes_from: Option<String>,
    /// About how much it takes off.
    #[serde(default)]
    pub off: Option<String>,
}

/// A vee block.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct VeeWritten {
    /// Between its flats, degrees.
    pub angle: String,
    /// How many lobes the part has.
    pub lobes: u32,
}

/// Where a height is read.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PointWritten {
    /// Along.
    pub along: String,
    /// Across; left out on a line.
    #[serde(default)]
    pub across: Option<String>,
}

/// Events of a lobe.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct TimingWritten {
    /// `intake` or `exhaust`.
    pub valve: String,
    /// `opening and closing` or `equal lifts`.
    pub read: String,
}

/// Two stations that lie nearest to each other.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct NextWritten {
    /// Of one position.
    pub here: String,
    /// Of the next.
    pub there: String,
}

/// A gasket of a choice by protrusion.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct GasketWritten {
    /// As it is marked.
    pub gasket: String,
    /// For a highest protrusion up to this.
    pub up_to: String,
    /// Compressed.
    pub thickness: String,
}

/// Sizes beside standard.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SizesWritten {
    /// `under` or `over`.
    pub sense: String,
    /// The part takes half of the step.
    #[serde(default)]
    pub halved: bool,
    /// Fitted without machining.
    #[serde(default)]
    pub select_fit: Vec<String>,
    /// Machined to, or bought.
    pub steps: Vec<String>,
    /// Finished limits at step zero; the new limits where absent.
    #[serde(default)]
    pub finish: Option<LimitsWritten>,
    /// The last step that leaves the hardened skin whole.
    #[serde(default)]
    pub hard_to: Option<String>,
    /// The operation that hardens the part again past it.
    #[serde(default)]
    pub hardened_by: Option<String>,
}

/// A grade.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct GradeWritten {
    /// Its letter.
    pub grade: String,
    /// Its limits.
    pub limits: LimitsWritten,
}

/// A pair.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PairWritten {
    /// Its key.
    pub pair: String,
    /// For people.
    pub name: String,
    /// The bore.
    pub outer: MemberWritten,
    /// Directions of the bore that count against what may be reused.
    #[serde(default)]
    pub reuse_directions: Vec<String>,
    /// The walls between.
    #[serde(default)]
    pub walls: Option<MemberWritten>,
    /// The station of the walls in the loaded half.
    #[serde(default)]
    pub loaded: Option<String>,
    /// The shaft.
    pub inner: MemberWritten,
    /// Fitted grade to grade.
    #[serde(default)]
    pub by_grade: bool,
    /// Shells by the grades of housing and journal.
    #[serde(default)]
    pub shell_grades: Vec<ShellGradeWritten>,
    /// The row that judges it.
    pub row: RowWritten,
}

/// A line of the table of graded shells.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ShellGradeWritten {
    /// Of the housing.
    pub outer: String,
    /// Of the journal.
    pub inner: String,
    /// Of the shells.
    pub shell: String,
}

/// A member of a pair.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct MemberWritten {
    /// Key of the feature.
    pub feature: String,
    /// Stations that count.
    #[serde(default)]
    pub stations: Vec<String>,
    /// Directions that count.
    #[serde(default)]
    pub directions: Vec<String>,
}
