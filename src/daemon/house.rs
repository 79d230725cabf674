//! Everything the loop holds, and how it is opened.

use crate::clock::Clock;
use crate::config::Config;
use crate::daemon::ahead::Ahead;
use crate::daemon::board_rows::BoardRows;
use crate::daemon::debts::Debts;
use crate::daemon::error::DaemonError;
use crate::daemon::jobs::Jobs;
use crate::daemon::post::Post;
use crate::daemon::press::Press;
use crate::daemon::shop_wide::ShopWide;
use crate::daemon::steps::{Step, Steps};
use crate::intake::{Folder, Settings};
use crate::ledger::{ArrivalInfo, Ledger};
use std::sync::Arc;

/// Papers of the first turn; how many come after follows from how long a turn takes.
pub(super) const FIRST_BATCH: usize = 64;

/// What a house is opened with beside its configuration.
pub struct Setup {
    /// The clock.
    pub clock: Arc<dyn Clock>,
    /// Called from other threads when there may be something to do.
    pub wake: Arc<dyn Fn() + Send + Sync>,
    /// Who looks on at each durable step.
    pub steps: Box<dyn Steps>,
    /// Wait for unfinished papers as a daemon does; without, broken ones are returned at once.
    pub patient: bool,
}

/// The open shop: ledger, watch folder, sender, and what was folded so far.
pub struct House {
    pub(super) config: Config,
    pub(super) clock: Arc<dyn Clock>,
    pub(super) steps: Box<dyn Steps>,
    pub(super) patient: bool,
    pub(super) ledger: Ledger,
    pub(super) folder: Folder,
    pub(super) shop: ShopWide,
    pub(super) jobs: Jobs,
    pub(super) rows: BoardRows,
    pub(super) debts: Debts,
    pub(super) post: Post,
    pub(super) press: Press,
    pub(super) ahead: Ahead,
    /// Papers taken in at once.
    pub(super) batch: usize,
}

impl House {
    /// The configuration in use.
    #[must_use]
    pub const fn config(&self) -> &Config {
        &self.config
    }

    /// Opens ledger and watch folder and starts the sender. Nothing is taken in yet.
    ///
    /// # Errors
    /// The ledger or the folder cannot be opened, another daemon has one of them, or the sender cannot start.
    pub fn open(config: Config, setup: Setup) -> Result<Self, DaemonError> {
        let ledger = Ledger::create_or_open(&config.ledger, &config.site)?;
        let settings = Settings {
            quiet: config.settle,
            grace: config.grace,
            batch_files: FIRST_BATCH,
            ..Settings::default()
        };
        let mut folder = Folder::open(&config.watch_folder, settings)?;
        if config.watch {
            let wake = Arc::clone(&setup.wake);
            let state = folder.watch(Box::new(move || wake()));
            tracing::info!(?state, "watching the drop folder");
        }
        let shop = ShopWide::load(&ledger, &config.site)?;
        let post = Post::open(&config, Arc::clone(&setup.wake))?;
        let press = Press::new(&config);
        let mut house = Self {
            config,
            clock: setup.clock,
            steps: setup.steps,
            patient: setup.patient,
            ledger,
            folder,
            shop,
            jobs: Jobs::default(),
            rows: BoardRows::default(),
            debts: Debts::default(),
            post,
            press,
            ahead: Ahead::default(),
            batch: FIRST_BATCH,
        };
        house.remember_filed()?;
        Ok(house)
    }

    /// Papers filed shortly before the last stop: what a power cut took of them is written again, and they still get
    /// their second look.
    fn remember_filed(&mut self) -> Result<(), DaemonError> {
        /// So many come within the two minutes after which a system has written everything out.
        const LAST: usize = 20_000;
        let arrivals = self.ledger.arrivals(LAST)?;
        // The power may have been away for days; a sender that still writes has not been.
        let not_written_out = arrivals.first().map_or(0, |newest| newest.at - 120_000);
        let still_written = self.clock.now().as_millisecond() - 120_000;
        let now = self.clock.since_start();
        for arrival in arrivals.into_iter().filter(|arrival| not_written_out <= arrival.at) {
            self.make_whole(&arrival)?;
            if still_written <= arrival.at {
                self.folder.remember_filed(&arrival.place, &arrival.stamp, arrival.hash, now);
            }
        }
        Ok(())
    }

    /// A paper that cannot be written whole now keeps nobody from starting: the ledger has it.
    fn make_whole(&mut self, arrival: &ArrivalInfo) -> Result<(), DaemonError> {
        let ArrivalInfo { place, name, stamp, .. } = arrival;
        let Some(hash) = arrival.hash else { return Ok(()) };
        let restored = match self.folder.remains(place, name, stamp) {
            Ok(None) => return Ok(()),
            Ok(Some(remains)) => match self.ledger.bytes_of(&hash)? {
                Some(bytes) => remains.restore(&bytes),
                None => return Ok(()),
            },
            Err(error) => Err(error),
        };
        match restored {
            Ok(true) => tracing::info!(%place, "a power cut took the end of a paper; it is written again"),
            Ok(false) => {}
            Err(error) => tracing::warn!(%error, "looking for papers that a power cut took the end of"),
        }
        Ok(())
    }

    pub(super) fn after(&mut self, step: Step) -> Result<(), DaemonError> {
        self.steps.after(step)
    }
}
