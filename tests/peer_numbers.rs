//! Our arithmetic against that of others: thousands of random cases, computed by libraries from PyPI.
//!
//! Each suite asks one Python process: the cases go in as JSON, the answers come back as JSON. `tests/run` installs the
//! libraries.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "peer_numbers/assigned.rs"]
mod assigned;
#[path = "peer_numbers/budgets.rs"]
mod budgets;
#[path = "support/chance.rs"]
mod chance;
#[path = "peer_numbers/conversions.rs"]
mod conversions;
#[path = "peer_numbers/fits.rs"]
mod fits;
#[path = "peer_numbers/forms.rs"]
mod forms;
#[path = "support/python.rs"]
mod python;
#[path = "peer_numbers/quantiles.rs"]
mod quantiles;
#[path = "peer_numbers/studies.rs"]
mod studies;

use python::ask;
