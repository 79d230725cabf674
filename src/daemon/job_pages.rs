//! The pages of one job on disk.

use crate::daemon::issued;
use crate::daemon::page_file::{PageError, keep_only, make, remove, sync, write_page};
use crate::ledger::Ledger;
use crate::pages::{
    JobView, build_record, customer_page, has_labels, has_plan, has_record, job_page, labels, order_file,
    plan_page, work_order,
};
use std::collections::BTreeSet;
use std::path::Path;

/// The pages of one job: its own, its record where there is one, and one for each work order. What is no longer so
/// does not stay on the board: an order that was withdrawn must not be handed to anybody.
pub(super) fn write_pages_of(folder: &Path, view: &JobView, ledger: &Ledger) -> Result<(), PageError> {
    issued::lay_out(&issued::folder_of(folder, &view.job.key), view, ledger)?;
    let slug = view.job.key.slug();
    let own = format!("{slug}.html");
    let has_record = has_record(&view.job);
    write_where(has_record, &folder.join("records"), &own, || build_record(view))?;
    write_where(has_record, &folder.join("customers"), &own, || customer_page(view))?;
    write_where(has_plan(view), &folder.join("plans"), &own, || plan_page(view))?;
    write_where(has_labels(&view.job), &folder.join("labels"), &own, || labels(view))?;
    write_orders(&folder.join("orders").join(&slug), view)?;
    // The page that leads to the others comes last.
    write_page(&folder.join("jobs"), &own, job_page(view))
}

/// A page that is there as long as there is something to write.
fn write_where(
    is_there: bool,
    folder: &Path,
    own: &str,
    page: impl FnOnce() -> String,
) -> Result<(), PageError> {
    if !is_there {
        return remove(&folder.join(own));
    }
    make(folder)?;
    write_page(folder, own, page())?;
    sync(folder)
}

fn write_orders(folder: &Path, view: &JobView) -> Result<(), PageError> {
    let mut names = BTreeSet::new();
    for order in view.job.orders.values() {
        make(folder)?;
        let name = format!("{}.html", order_file(order));
        write_page(folder, &name, work_order(view, order))?;
        names.insert(name);
    }
    keep_only(folder, &names)
}
