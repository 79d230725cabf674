//! The daily summary: what it is made from, and queueing it once a local date.

use crate::daemon::error::DaemonError;
use crate::daemon::gather::rows_of;
use crate::daemon::house::House;
use crate::daemon::steps::Step;
use crate::facts::Role;
use crate::ledger::{ArrivalInfo, Batch, Ledger, SummaryMark};
use crate::notices::{SummaryInput, due, summary};
use crate::pages::BoardRow;
use crate::shop::Shop;
use jiff::civil::Date;
use std::sync::Arc;

/// Everything since the last summary, and the sequence it reaches to.
///
/// # Errors
/// The ledger cannot be read.
pub fn summary_input(ledger: &Ledger, shop: &Shop) -> Result<(SummaryInput, i64), DaemonError> {
    let rows = rows_of(ledger)?.into_iter().map(Arc::new).collect();
    summary_of(ledger, shop, rows, i64::MAX)
}

/// The same with the rows of all engines in hand, and no more than so many arrivals back: a shop that nobody has an address in
/// never had a summary, and a page that is written often must not read its whole ledger.
pub(super) fn summary_of(
    ledger: &Ledger,
    shop: &Shop,
    rows: Vec<Arc<BoardRow>>,
    back: i64,
) -> Result<(SummaryInput, i64), DaemonError> {
    let to_seq = ledger.last_arrival_seq()?;
    let from = ledger.last_summary()?.map_or(0, |mark| mark.to_seq).max(to_seq.saturating_sub(back));
    let input = SummaryInput {
        rows,
        returned: ledger.returned_between(from, to_seq)?.iter().map(returned_line).collect(),
        filed: usize::try_from(ledger.filed_between(from, to_seq)?).unwrap_or(usize::MAX),
        dead_letters: ledger.letters_given_up()?,
        shop_held: shop.held.iter().map(|held| format!("{}: {}", held.kind, held.why)).collect(),
        gauges: shop.gauges(),
    };
    Ok((input, to_seq))
}

/// The paper and the first fault of its slip.
fn returned_line(arrival: &ArrivalInfo) -> (String, String) {
    let fault: Vec<&str> =
        arrival.slip.lines().skip(3).take_while(|line| !line.is_empty()).map(str::trim).collect();
    (arrival.name.clone(), fault.join("\n  "))
}

impl House {
    /// Queues the daily summary where one is due.
    pub(super) fn summarise(&mut self) -> Result<(), DaemonError> {
        let now = self.clock.now();
        let done = self.ledger.last_summary()?.and_then(|mark| mark.date.parse::<Date>().ok());
        // Without anybody to send it to the date is not done; the first summary goes out with the first address.
        if self.shop.shop.letters_to(Role::Owner).is_empty() || self.summary_waits() {
            return Ok(());
        }
        let Some(due) = due(now, &self.config.zone, self.config.summary_at, done) else { return Ok(()) };
        let (input, to_seq) = summary_input(&self.ledger, &self.shop.shop)?;
        let letters = summary(&input, &due, &self.config.zone, &self.shop.shop);
        let mark = SummaryMark { date: due.date.to_string(), to_seq };
        let mut batch = Batch { summary: Some(mark), ..Batch::default() };
        self.queue(&letters, now, &mut batch)?;
        self.ledger.commit(&batch)?;
        tracing::info!(date = %due.date, letters = letters.len(), "the daily summary is queued");
        self.after(Step::Summarised)
    }
}
