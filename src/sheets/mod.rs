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

mod check;
mod fault;
mod feature;
mod limits;
mod names;
mod pair;
mod read;
pub mod written;

pub use check::{Agreement, agreements};
pub use fault::{Fault, Faults};
pub use feature::{Characteristic, Feature, Row, Shape, SizeSeries};
pub use limits::{Column, Limits, Side};
pub use names::{find_position, fold_name, same_name};
pub use pair::{Member, Pair};

use crate::metrology::{Expansion, Unit};

/// The conditions a row can be asked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Asked {
    /// On the part as it came in, or after cleaning.
    AsReceived,
    /// After any operation on the place.
    AfterWork,
}

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
}

/// What came in, as a check-in can say it.
#[derive(Clone, Debug)]
pub struct Scope {
    /// The word check-ins use.
    pub key: String,
    /// For people.
    pub name: String,
}

/// One kind of part.
#[derive(Clone, Debug)]
pub struct Part {
    /// The word drops use.
    pub key: String,
    /// Thermal expansion of its material.
    pub expansion: Expansion,
    /// Name of its material.
    pub material: String,
    /// Replaced with new ones at every rebuild; a pair of renewed members is still judged as found.
    pub renewed: bool,
    /// Its positions; empty where the engine has one.
    pub positions: Vec<String>,
}

impl Sheet {
    /// The feature of this name, however a person wrote it.
    #[must_use]
    pub fn feature(&self, written: &str) -> Option<(usize, &Feature)> {
        self.features.iter().enumerate().find(|(_, f)| same_name(&f.key, written))
    }

    /// The part kind of this name, however a person wrote it.
    #[must_use]
    pub fn part(&self, written: &str) -> Option<(usize, &Part)> {
        self.parts.iter().enumerate().find(|(_, p)| same_name(&p.key, written))
    }

    /// Does a size-class group of this name exist?
    #[must_use]
    pub fn has_group(&self, written: &str) -> bool {
        self.features.iter().any(|f| same_name(&f.group, written))
    }
}
