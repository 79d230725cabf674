//! The watch folder is renamed away and back at random moments under load, an empty one in its place at first: nothing is
//! concluded from what is not there, and every paper is taken in once. Guards promises 1 and 2. With real mounts:
//! `tests/peer_share.rs`. 3 times away, or 20 in the long form.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

#[path = "support/gate.rs"]
mod gate;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/share.rs"]
mod share;
#[path = "support/state.rs"]
mod state;
mod support;

use process::Shop;
use share::{Share, hold};
use std::fs;
use std::path::Path;

struct Renamed;

impl Share for Renamed {
    fn take_away(&self, shop: &Path) {
        fs::rename(shop.join("watch-folder"), shop.join("elsewhere")).unwrap();
    }

    fn show_empty(&self, shop: &Path) {
        fs::create_dir(shop.join("watch-folder")).unwrap();
    }

    fn bring_back(&self, shop: &Path) {
        fs::remove_dir(shop.join("watch-folder")).expect("nothing is made in the empty folder");
        fs::rename(shop.join("elsewhere"), shop.join("watch-folder")).unwrap();
    }
}

#[test]
fn a_folder_that_is_renamed_away_and_back_under_load_loses_nothing() {
    let shop = Shop::empty();
    fs::create_dir(shop.dir().join("disk")).unwrap();
    hold("watch folder renamed away and back", &shop, &Renamed);
}
