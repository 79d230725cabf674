//! One line of a plan: a piece of work or a part to buy.

use crate::facts::SizeWord;
use crate::metrology::Exact;
use crate::planning::effects::{Cut, CutTo};
use crate::planning::foreseen::Foreseen;
use crate::planning::prices::{Obtainable, Price};
use crate::planning::search::Cost;
use crate::planning::walls::Wall;
use crate::planning::ways::beside;
use crate::sheets::Shape;
use crate::shop::{Job, PartPlace, SurfaceKey};

/// What is done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Deed {
    /// A surface stays as it is.
    Keep(SurfaceKey),
    /// Work on a surface.
    Work {
        /// The surface.
        surface: SurfaceKey,
        /// The operation, in the words of price lists and orders.
        operation: String,
        /// The size class it is finished to; `None` for work that leaves it.
        to: Option<SizeWord>,
        /// How the size comes about.
        how: How,
    },
    /// What a piece of work costs once: setting up.
    Once {
        /// The feature, as an index.
        feature: usize,
        /// The operation.
        operation: String,
    },
    /// What goes with the work on a part, once for all of it: a crack test, a new skin.
    Afterwards {
        /// The part.
        part: PartPlace,
        /// The operation.
        operation: String,
    },
    /// A part that is cracked or broken is mended.
    Mend {
        /// The part.
        part: PartPlace,
        /// By which operation.
        operation: String,
    },
    /// A part is given up for another.
    Replace(PartPlace),
    /// Parts are bought.
    Buy {
        /// Part kind or group of the sheet.
        item: String,
        /// Its size class, where it has one.
        size: Option<SizeWord>,
        /// How many.
        count: u32,
    },
    /// Hours beside the work that has a price.
    Hours {
        /// What is done in them.
        what: String,
        /// Hundredths of an hour.
        hundredths: i64,
    },
    /// Nothing that is known helps.
    Nothing {
        /// The surface or part it is about, in words.
        about: String,
        /// Why nothing does.
        why: String,
    },
}

/// How a surface comes to the size it is finished to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum How {
    /// Machined; it comes out whole.
    CleansUp,
    /// Machined; nothing was measured on it, so that nobody knows yet.
    NotMeasured,
    /// Machined again to the size it has: there is metal left.
    Again,
    /// A sleeve or metal put on, because the size alone does not clean it up.
    BuiltUp,
    /// A face is cut by at least so much.
    Cut(Exact),
    /// By the operation alone: restored, straightened, dressed.
    Otherwise,
}

/// A line, what it costs, and what is known of what it needs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanLine {
    /// What is done.
    pub deed: Deed,
    /// What it costs.
    pub cost: Cost,
    /// Its own price and time.
    pub price: Price,
    /// What is known of a part that is bought.
    pub obtainable: Option<Obtainable>,
    /// The walls beside a bore that grows.
    pub walls: Vec<Wall>,
    /// The clearance of a journal that is ground.
    pub foreseen: Option<Foreseen>,
}

impl PlanLine {
    pub(super) fn of(deed: Deed, price: Price) -> Self {
        Self { deed, cost: price.cost(), price, obtainable: None, walls: Vec::new(), foreseen: None }
    }

    /// Costs nothing and takes no time.
    pub(super) fn free(deed: Deed) -> Self {
        let price = Price { money: Some(crate::facts::Money::NONE), days: Some(0) };
        Self { deed, cost: Cost::NOTHING, price, obtainable: None, walls: Vec::new(), foreseen: None }
    }

    /// That nothing known helps.
    pub(super) fn nothing(about: String, why: String) -> Self {
        let mut line = Self::free(Deed::Nothing { about, why });
        line.cost.unsolved = 1;
        line
    }

    /// Work that begins when parts are here; what stays as it is waits for nothing.
    pub(super) fn after(mut self, days: u32) -> Self {
        if matches!(self.deed, Deed::Work { .. }) {
            self.cost.days = self.cost.days.saturating_add(days);
        }
        self
    }

    pub(super) fn with_metal(mut self, metal: Exact) -> Self {
        self.cost.metal = metal;
        self
    }

    /// What it cuts, as its effects are asked for. Of work that is not cut to a size or flat the sheet says about how much
    /// it takes off, or nothing is foreseen of it.
    pub(super) fn cut(&self, job: &Job) -> Option<Cut> {
        let Deed::Work { surface, to, how, operation } = &self.deed else { return None };
        let sheet = job.sheet.as_deref()?;
        let feature = sheet.features.get(surface.feature)?;
        let remedy = || feature.remedies.iter().find(|remedy| remedy.operation == *operation);
        match (to, how) {
            (_, How::Cut(removed)) => {
                // A face is cut from what gets thinner by it.
                let from = remedy()?.takes_from?;
                Some(Cut { surface: beside(sheet, *surface, from), to: CutTo::Removed(*removed) })
            }
            (Some(size), How::CleansUp | How::NotMeasured | How::BuiltUp) => {
                Some(Cut { surface: *surface, to: CutTo::Size(*size) })
            }
            (None, How::Otherwise) => {
                let remedy = remedy()?;
                // A housing is cut itself; what is judged of several housings or beside a seat, at what it names.
                let own = feature.shape == Shape::Bore;
                let from = remedy.takes_from.filter(|_| !own);
                let surface = from.map_or(*surface, |from| beside(sheet, *surface, from));
                Some(Cut { surface, to: CutTo::Removed(remedy.off?) })
            }
            (Some(_), How::Again | How::Otherwise) | (None, _) => None,
        }
    }
}
