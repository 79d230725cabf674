//! The rows the board reads, in memory: read from the ledger once, then each is replaced when its commit has returned.
//! Reading thousands of rows for every page would cost more than the paper that caused the page.

use crate::daemon::error::DaemonError;
use crate::daemon::gather::rows_of;
use crate::ledger::Ledger;
use crate::pages::BoardRow;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The rows by job key, once they were asked for.
#[derive(Default)]
pub(super) struct BoardRows {
    known: Option<BTreeMap<String, Arc<BoardRow>>>,
}

impl BoardRows {
    /// Every row, ordered by job key.
    pub(super) fn all(&mut self, ledger: &Ledger) -> Result<Vec<Arc<BoardRow>>, DaemonError> {
        let known = match self.known.take() {
            Some(known) => known,
            None => rows_of(ledger)?.into_iter().map(|row| (row.job.clone(), Arc::new(row))).collect(),
        };
        Ok(self.known.insert(known).values().map(Arc::clone).collect())
    }

    /// A row that is in the ledger now.
    pub(super) fn put(&mut self, row: BoardRow) {
        if let Some(known) = &mut self.known {
            known.insert(row.job.clone(), Arc::new(row));
        }
    }
}
