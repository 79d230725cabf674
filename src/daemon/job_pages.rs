//! The pages of one job on disk.

use crate::daemon::issued;
use crate::daemon::page_file::{PageError, keep_only, make, remove, sync, write_page};
use crate::ledger::Ledger;
use crate::pages::{
    JobView, build_record, customer_page, has_plan, has_record, job_page, order_file, plan_page, work_order,
};
use std::collections::BTreeSet;
use std::path::Path;

/// The pages of one job: its own, its record where there is one, and one for each work order. What is no longer so
/// does not stay on the board: an order that was withdrawn must not be handed to anybody.
pub(super) fn write_pages_of(folder: &Path, view: &JobView, ledger: &Ledger) -> Result<(), PageError> {
    issued::lay_out(&issued::folder_of(folder, &view.job.key), view, ledger)?;
    let slug = view.job.key.slug();
    let own = format!("{slug}.html");
    write_of_record(&folder.join("records"), &own, view, build_record)?;
    write_of_record(&folder.join("customers"), &own, view, customer_page)?;
    let plans = folder.join("plans");
    if has_plan(view) {
        make(&plans)?;
        write_page(&plans, &own, plan_page(view))?;
        sync(&plans)?;
    } else {
        remove(&plans.join(&own))?;
    }
    write_orders(&folder.join("orders").join(&slug), view)?;
    // The page that leads to the others comes last.
    write_page(&folder.join("jobs"), &own, job_page(view))
}

/// A page that is there as long as there is a record to write.
fn write_of_record(
    folder: &Path,
    own: &str,
    view: &JobView,
    page: fn(&JobView) -> String,
) -> Result<(), PageError> {
    if !has_record(&view.job) {
        return remove(&folder.join(own));
    }
    make(folder)?;
    write_page(folder, own, page(view))?;
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
