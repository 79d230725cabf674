//! Names that are never input: each is said once, and a copy that seems to be under way for ever is told of.
//!
//! A device that breaks off between writing under a temporary name and giving the paper its own leaves a whole paper lying
//! that nobody would ever look at.

use crate::intake::names;
use crate::intake::paper::folder_and_name;
use crate::intake::settle::{Waiting, Why};
use std::collections::BTreeSet;
use std::collections::btree_map::{BTreeMap, Entry};
use std::ffi::OsString;
use std::time::Duration;

/// Those in `drop/`, and when each was first seen there.
#[derive(Default)]
pub(super) struct PassedOver(BTreeMap<OsString, Duration>);

impl PassedOver {
    /// Takes in one complete look; gives those that the look before did not see, as people may see them, and what each is.
    pub(super) fn observe(&mut self, seen: BTreeSet<OsString>, now: Duration) -> Vec<(String, &'static str)> {
        self.0.retain(|path, _| seen.contains(path));
        let mut new = Vec::new();
        for path in seen {
            if let Entry::Vacant(place) = self.0.entry(path) {
                let why = names::why_never_input(folder_and_name(place.key()).1);
                new.extend(why.map(|why| (names::shown_name(place.key()), why)));
                place.insert(now);
            }
        }
        new
    }

    /// Moves all clocks on by the time the folder was away.
    pub(super) fn thaw(&mut self, gap: Duration) {
        self.0.values_mut().for_each(|since| *since = since.saturating_add(gap));
    }

    /// Copies that were first seen longer ago than a paper may stay unfinished.
    pub(super) fn stuck(&self, grace: Duration, now: Duration) -> impl Iterator<Item = Waiting> {
        let stuck = self.0.iter().filter(move |(path, since)| {
            names::is_under_way(folder_and_name(path).1) && since.saturating_add(grace) <= now
        });
        stuck.map(|(path, _)| Waiting { name: names::shown_name(path), why: Why::UnderWay })
    }
}
