//! The geometry of the engine as it is written.

use serde::Deserialize;

/// What cuts move, and by how much.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct GeometryWritten {
    /// Full stroke.
    pub stroke: String,
    /// Which feature is what.
    pub features: Vec<RoleWritten>,
    /// Chamber's area at the gasket face, cm2.
    #[serde(default)]
    pub footprint: Option<String>,
    /// The head gasket.
    #[serde(default)]
    pub head_gasket: Option<HeadGasketWritten>,
    /// Dish of the piston, cc; below zero of a dome.
    #[serde(default)]
    pub dish: Option<String>,
    /// Recess in the head that is no measured chamber, cc.
    #[serde(default)]
    pub recess: Option<String>,
    /// As printed.
    #[serde(default)]
    pub compression_ratio: Option<String>,
    /// As printed, cc.
    #[serde(default)]
    pub displacement: Option<String>,
    /// `pushrod` or `overhead cam`.
    #[serde(default)]
    pub valve_gear: Option<String>,
    /// Pitch radius of the cam sprocket.
    #[serde(default)]
    pub sprocket_radius: Option<String>,
    /// Between the driving run and the way the head moves, degrees.
    #[serde(default)]
    pub drive_angle: Option<String>,
    /// Valve springs.
    #[serde(default)]
    pub springs: Option<SpringsWritten>,
    /// Valves of a cylinder.
    #[serde(default)]
    pub valves: Vec<ValveWritten>,
    /// Least distance from piston to head.
    #[serde(default)]
    pub least_squish: Option<String>,
    /// Of a vee: what comes off the manifold's faces for what the heads come down.
    #[serde(default)]
    pub manifold_factor: Option<String>,
    /// Rows of cylinders, each with its own deck and head; none where one deck has them all.
    #[serde(default)]
    pub banks: Vec<BankWritten>,
}

/// A feature and what it is.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct RoleWritten {
    /// What it is.
    pub is: String,
    /// Its key.
    pub feature: String,
}

/// A head gasket.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct HeadGasketWritten {
    /// Compressed.
    pub thickness: String,
    /// Across its hole.
    pub hole: String,
}

/// Valve springs.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SpringsWritten {
    /// lbf an inch, or N a millimetre.
    pub rate: String,
    /// Coil on coil.
    pub solid: String,
    /// What can be laid under them, thinnest first.
    #[serde(default)]
    pub shims: Vec<String>,
}

/// A valve of each cylinder.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ValveWritten {
    /// Its name: `intake`.
    pub valve: String,
    /// Feature of the seat that is cut.
    pub seat: String,
    /// Gross lift.
    #[serde(default)]
    pub lift: Option<String>,
}

/// A row of cylinders.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct BankWritten {
    /// Position of its deck and of its head.
    pub bank: String,
    /// Positions of its bores.
    pub cylinders: Vec<String>,
}
