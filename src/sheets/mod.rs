//! Spec sheets: what an engine family is made of and what its limits are.
//!
//! A sheet arrives as a drop like anything else. [`written`] holds it as people write it, digits and all;
//! [`Sheet::read`] turns that into exact limits and refuses, with every fault at once, a sheet that
//! contradicts itself: stacks that do not give their stated clearance at every size, limits in the wrong
//! order, steps that do not ascend, names that lead nowhere. A sheet that was read can be relied on.
//!
//! The words: a *feature* is a thing that is measured at *places* (position, station, direction). A *row* of
//! the sheet judges one *characteristic* of a feature. A *pair* stacks features into a clearance. Each limit
//! column says which side it names: new, service (reuse of a part as found) and after work (metal lost for
//! good). Limits are in the sheet's own unit and are judged in it only.
//!
//! This module judges no reading and knows nothing of jobs.

mod bolt_order;
mod characteristic;
mod check;
mod engine;
mod fault;
mod feature;
mod geometry;
mod hardware;
mod limits;
mod metal;
mod names;
mod pair;
mod part;
mod read;
mod reads;
mod row;
mod shape;
mod wears_as;
mod worked;
pub mod written;

pub use bolt_order::{BoltOrder, Layout, LayoutRow};
pub use characteristic::Characteristic;
pub use check::{
    Agreement, Conversion, Engagement, ProofLoad, agreements, clamp_instead, conversions, engagements,
    proof_loads, questions, usual_torque,
};
pub use engine::{
    BoreSurface, Cams, Check, CheckBy, CheckStage, Datum, EngineKind, Follows, ForCustomer, Fuel,
};
pub use fault::{Fault, Faults};
pub use feature::{Feature, Gasket, Remedy, RemedyKind, SizeSeries, Skin, SurfacePoint, THICKNESS, Vee};
pub use geometry::{Bank, Geometry, HeadGasket, Role, Springs, Valve, ValveGear, nominal};
pub use hardware::{AlwaysNew, EngagedIn, FastenerSize, Fasteners, PlugSize, Plugs, Thread, TorqueUnit};
pub use limits::{Column, Limits, Side};
pub use metal::Metal;
pub(crate) use names::has_word_with;
pub(crate) use names::is_joined;
pub use names::{find_position, fold_name, same_name};
pub use pair::{Member, Pair, ShellGrade};
pub use part::Part;
pub use reads::{Reads, ReadsFault};
pub use row::{Asked, Columns, Printed, Row, Term};
pub use shape::Shape;
pub use wears_as::WearsAs;
pub use worked::{Events, LobeOf, Timing, Worked};

use crate::metrology::Unit;
use crate::sheets::names::place_of;

/// A spec sheet that has been read and checked.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Its key, as check-ins name it.
    pub key: String,
    /// Its revision, 1 and up.
    pub revision: u32,
    /// The engine family, for people.
    pub name: String,
    /// A sentence printed wherever the sheet's limits are; may be empty.
    pub notice: String,
    /// The unit it is judged in.
    pub unit: Unit,
    /// The scopes a check-in can name.
    pub scopes: Vec<Scope>,
    /// Part kinds with their material.
    pub parts: Vec<Part>,
    /// Features in the sheet's order.
    pub features: Vec<Feature>,
    /// Pairs in the sheet's order.
    pub pairs: Vec<Pair>,
    /// The kind of engine, where it decides what is asked.
    pub engine: EngineKind,
    /// Facts for people.
    pub data: Vec<Datum>,
    /// Words for the customer's page.
    pub customer: ForCustomer,
    /// Fastener groups.
    pub fasteners: Vec<Fasteners>,
    /// Groups of sealing plugs, counted out and in.
    pub plugs: Vec<Plugs>,
    /// Groups of locking pins and tools, counted out and in.
    pub pins: Vec<Plugs>,
    /// What is looked at by eye.
    pub checks: Vec<Check>,
    /// What ties the features together, so that what a cut moves can be computed.
    pub geometry: Option<Geometry>,
}

/// What came in, as a check-in can say it.
#[derive(Clone, Debug)]
pub struct Scope {
    /// The word check-ins use.
    pub key: String,
    /// For people.
    pub name: String,
}

impl Sheet {
    /// The feature of this name, however a person wrote it.
    #[must_use]
    pub fn feature(&self, written: &str) -> Option<(usize, &Feature)> {
        let index = place_of(self.features.iter().map(|feature| &feature.key), written)?;
        Some((index, self.features.get(index)?))
    }

    /// The part kind of this name, however a person wrote it.
    #[must_use]
    pub fn part(&self, written: &str) -> Option<(usize, &Part)> {
        let index = place_of(self.parts.iter().map(|part| &part.key), written)?;
        Some((index, self.parts.get(index)?))
    }

    /// The pair of this name, however a person wrote it.
    #[must_use]
    pub fn pair(&self, written: &str) -> Option<&Pair> {
        let index = place_of(self.pairs.iter().map(|pair| &pair.key), written)?;
        self.pairs.get(index)
    }

    /// The fastener group of this name, however a person wrote it.
    #[must_use]
    pub fn fasteners(&self, written: &str) -> Option<&Fasteners> {
        let index = place_of(self.fasteners.iter().map(|group| &group.group), written)?;
        self.fasteners.get(index)
    }

    /// The group of plugs or pins of this name, however a person wrote it.
    #[must_use]
    pub fn plugs(&self, written: &str) -> Option<&Plugs> {
        self.plugs.iter().chain(&self.pins).find(|p| same_name(&p.group, written))
    }

    /// Key and name of the group of bolts, plugs or pins of this name, as they are printed: `G01 Main caps`.
    #[must_use]
    pub fn label_of(&self, written: &str) -> Option<String> {
        let bolts = self.fasteners(written).map(|group| (&group.group, &group.name));
        let (group, name) = bolts.or_else(|| self.plugs(written).map(|group| (&group.group, &group.name)))?;
        Some(format!("{group} {name}").trim_end().to_owned())
    }

    /// The check of this name, however a person wrote it.
    #[must_use]
    pub fn check(&self, written: &str) -> Option<&Check> {
        let index = place_of(self.checks.iter().map(|check| &check.key), written)?;
        self.checks.get(index)
    }

    /// Does a size-class group of this name exist?
    #[must_use]
    pub fn has_group(&self, written: &str) -> bool {
        self.features.iter().any(|f| same_name(&f.group, written))
    }
}
