//! Pages: what people read, as text out. HTML that is complete without scripts and fetches nothing, and the
//! same answers as JSON for programs.
//!
//! [`board`] is the table of engines, [`arrivals`] what came in and what became of it, [`job_page`] one engine
//! with every verdict and its reasons, [`build_record`] what was measured, fitted and tightened, [`customer_page`] the same in plain words, [`work_order`] what goes to
//! a machinist, [`job_json`] the same for programs and the canonical dump that the order tests compare. [`labels`] what is
//! stuck on bags and parts, [`bench_form`] the page to type at, [`drop_words`] what the shop says there of each drop, [`gauges`] what rests on a gauge that is bad, [`today`] what the daily letter says. A [`BoardRow`] is the small summary of a job that the ledger keeps, so that the board needs no job
//! folded.
//!
//! Every text a person typed is escaped by the template engine. Nothing is decided here and nothing is written
//! to disk here.

mod arrivals;
mod bench_form;
mod board;
mod board_row;
mod bolt_drawing;
mod build_record;
mod code_drawing;
mod customer_page;
mod drawings;
mod drop_words;
mod fitting_json;
mod foreseen;
mod frame;
mod gauges;
mod issued;
mod job_json;
mod job_page;
mod job_text;
mod label_text;
mod labels;
mod limit_strip;
mod plan;
mod row_parts;
mod section;
mod sections;
mod signing;
mod studies;
mod table_form;
mod things_json;
mod today;
mod work_order;

pub use arrivals::{ArrivalLine, Arrivals, WaitingLine, arrivals};
pub use bench_form::{bench_form, check_in_form, form_script_digest};
pub use board::{Board, board, board_json, board_text, released};
pub use board_row::{BoardRow, Wait};
pub use build_record::{build_record, has_record};
pub use code_drawing::code_text;
pub use customer_page::customer_page;
pub use drop_words::drop_words;
pub use foreseen::{
    Change, Foreseen, ForeseenFate, ForeseenJob, ForeseenPaper, foreseen_json, foreseen_text,
};
pub use gauges::{Gauges, gauges, gauges_json, gauges_text};
pub use issued::{Issued, Paper, content_of, next_version, read_issued};
pub use job_json::{canonical_dump, job_json};
pub use job_page::job_page;
pub use job_text::job_text;
pub use labels::{has_labels, labels};
pub use plan::{has_plan, plan_json, plan_page, plan_text};
pub use row_parts::{
    RowBeyond, RowDoubt, RowEstimate, RowLying, RowMoney, RowNeed, RowOrder, RowProblem, RowSigned, RowSupply,
};
pub use signing::to_sign;
pub use table_form::{FormAsked, form_json, table_form};
pub use today::today;
pub use work_order::{order_file, order_words, work_order};

use crate::facts::Money;
use crate::facts::PriceList;
use crate::judgement::Judgement;
use crate::planning::{Fitting, GroupPlan, Proposal, fitting, propose};
use crate::shop::Job;
use crate::stages::{Signable, Standing, heard};
use std::sync::{Arc, OnceLock};

/// A job with everything that follows from it: what the pages of a job are made from.
#[derive(Clone, Debug)]
pub struct JobView {
    /// The folded job.
    pub job: Job,
    /// Verdicts and questions.
    pub judgement: Judgement,
    /// Proposals.
    pub plans: Vec<GroupPlan>,
    /// Stage and blockers.
    pub standing: Standing,
    /// The shop's prices, newest revision; money of a job is counted with them.
    pub prices: Option<Arc<PriceList>>,
    /// The papers that were issued, in the order of their versions; empty where nobody looked, since what was issued is
    /// no part of the state.
    pub issued: Vec<Issued>,
    /// What can be signed, worked out for the first page that says so: see [`to_sign`].
    pub signable: OnceLock<Vec<Signable>>,
    /// What is proposed, worked out for the first page that says so: see [`JobView::proposal`].
    pub proposed: OnceLock<Option<Proposal>>,
    /// What to fit, worked out for the first page that says so: see [`JobView::fitting`].
    pub fits: OnceLock<Fitting>,
}

impl JobView {
    /// What to fit where.
    #[must_use]
    pub fn fitting(&self) -> &Fitting {
        self.fits.get_or_init(|| fitting(&heard(&self.job, &self.standing), &self.judgement))
    }

    /// An amount with the currency of the shop's prices, where it has any.
    #[must_use]
    pub fn money(&self, amount: Money) -> String {
        let currency = self.prices.as_ref().map_or("", |prices| prices.currency.as_str());
        format!("{amount} {currency}").trim_end().to_owned()
    }

    /// What is proposed for the engine; `None` before it has a sheet.
    #[must_use]
    pub fn proposal(&self) -> Option<&Proposal> {
        let propose = || propose(&heard(&self.job, &self.standing), &self.judgement, self.prices.as_deref());
        self.proposed.get_or_init(propose).as_ref()
    }
}
