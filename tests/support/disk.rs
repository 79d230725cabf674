//! Disks of the test's own: an ext4 file system in an image file on a loop device, whose power can be cut, or one of a
//! few MiB that can be filled; and whether this machine lets a test have one.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]
#![allow(clippy::print_stderr, reason = "a gate says what it leaves out")]

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::thread::sleep;
use std::time::Duration;

/// Root and loop devices are there; if not, says what is left out.
pub fn is_possible(gate: &str) -> bool {
    let is_root = rustix::process::geteuid().is_root();
    let has_loop = Path::new("/dev/loop-control").exists();
    if !is_root || !has_loop {
        let why = "it needs root and loop devices, which are not here";
        eprintln!("left out: {gate}: {why}");
    }
    is_root && has_loop
}

/// A mounted image; unmounted when it goes out of scope, by a panic too.
pub struct Disk {
    image: PathBuf,
    at: PathBuf,
}

impl Disk {
    /// A new file system of so many MiB in `image`, mounted at `at`. Nothing of mkfs is left to be done behind.
    pub fn make(image: &Path, mib: u64, at: &Path) -> Self {
        File::create(image).unwrap().set_len(mib << 20).unwrap();
        let now = "lazy_itable_init=0,lazy_journal_init=0";
        call(Command::new("mkfs.ext4").args(["-q", "-F", "-m", "0", "-E", now]).arg(image));
        Self::mount(image, at)
    }

    /// Mounts an image that is there. Nothing writes unsynced data out for half a minute, so that only what was synced is on the
    /// disk: the worst that a power cut may do.
    pub fn mount(image: &Path, at: &Path) -> Self {
        fs::create_dir_all(at).unwrap();
        call(Command::new("mount").args(["-o", "loop,commit=300"]).arg(image).arg(at));
        Self { image: image.to_owned(), at: at.to_owned() }
    }

    /// The power goes: what is on the disk at this moment is copied, what is in memory only is gone. Whoever writes must
    /// be stopped already, and is ended by `end`. The copy is mounted in the place of the disk.
    pub fn cut(self, end: impl FnOnce()) -> Self {
        let copy = self.image.with_extension("cut");
        call(Command::new("cp").arg("--sparse=always").arg(&self.image).arg(&copy));
        end();
        let (image, at) = (self.image.clone(), self.at.clone());
        drop(self);
        fs::rename(&copy, &image).unwrap();
        Self::mount(&image, &at)
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        // A process that was killed a moment ago may have its files open still.
        for _ in 0..200 {
            let unmounted = Command::new("umount").arg(&self.at).output();
            if unmounted.is_ok_and(|output| output.status.success()) {
                return;
            }
            sleep(Duration::from_millis(20));
        }
        // Detached at least, so that nothing is left mounted when the folder is removed.
        drop(Command::new("umount").arg("-l").arg(&self.at).output());
    }
}

/// Runs a command, which must succeed.
pub fn call(command: &mut Command) {
    let output = command.output().unwrap_or_else(|error| panic!("{command:?}: {error}"));
    assert!(output.status.success(), "{command:?}: {output:?}");
}
