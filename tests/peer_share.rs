//! The watch folder is a mount that drops and comes back at random moments under load: gone, then another, empty one, then
//! the old one, without its papers at first. Guards promises 1 and 2. 3 times away, or 20 in the long form.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

#[path = "support/disk.rs"]
mod disk;
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

use disk::call;
use process::Shop;
use share::{Share, hold};
use std::fs;
use std::path::Path;
use std::process::Command;

/// The share's own side is mounted at `disk`; from there it is bound to the watch folder.
struct Mounted;

fn bind(shop: &Path) {
    call(Command::new("mount").arg("--bind").arg(shop.join("disk/share")).arg(shop.join("watch-folder")));
}

impl Share for Mounted {
    fn take_away(&self, shop: &Path) {
        // Whoever has it open keeps what they have, as on a share that drops.
        call(Command::new("umount").arg("-l").arg(shop.join("watch-folder")));
    }

    fn show_empty(&self, shop: &Path) {
        call(Command::new("mount").args(["-t", "tmpfs", "none"]).arg(shop.join("watch-folder")));
    }

    fn bring_back(&self, shop: &Path) {
        let empty = fs::read_dir(shop.join("watch-folder")).unwrap().count();
        assert_eq!(empty, 0, "nothing is made in the empty folder");
        call(Command::new("umount").arg("-l").arg(shop.join("watch-folder")));
        bind(shop);
    }
}

/// Unmounts what is mounted on the watch folder, by a panic too.
struct Unmounted<'a>(&'a Path);

impl Drop for Unmounted<'_> {
    fn drop(&mut self) {
        for folder in ["watch-folder", "disk"] {
            std::mem::drop(Command::new("umount").arg("-l").arg(self.0.join(folder)).output());
        }
    }
}

#[test]
#[ignore = "needs root; tests/run runs it"]
fn a_mount_that_drops_and_comes_back_under_load_loses_nothing() {
    if !disk::is_possible("watch folder unmounted and mounted") {
        return;
    }
    let shop = Shop::empty();
    let _unmounted = Unmounted(shop.dir());
    fs::create_dir(shop.dir().join("disk")).unwrap();
    call(Command::new("mount").args(["-t", "tmpfs", "none"]).arg(shop.dir().join("disk")));
    state::copy(&shop.watch_folder(), &shop.dir().join("disk/share"));
    fs::remove_dir_all(shop.watch_folder()).unwrap();
    fs::create_dir(shop.watch_folder()).unwrap();
    bind(shop.dir());
    hold("watch folder unmounted and mounted", &shop, &Mounted);
}
