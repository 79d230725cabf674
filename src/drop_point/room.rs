//! How many lines there may be at a time: together, and from one address.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::Notify;

/// Lines at a time; more are turned away.
const LINES: usize = 64;
/// Of those from one address, so that no machine keeps the others out. A browser opens six at most.
const OF_ONE: usize = 24;

/// The lines that are open.
#[derive(Default)]
pub(super) struct Room {
    open: Arc<Open>,
}

#[derive(Default)]
struct Open {
    lines: Mutex<BTreeMap<IpAddr, usize>>,
    /// A line ended.
    ended: Notify,
}

/// A line's place, until it is dropped.
pub(super) struct Place {
    open: Arc<Open>,
    from: IpAddr,
}

impl Room {
    /// A place for a line from this address. What comes from this machine may be a proxy that speaks for all.
    pub(super) fn place(&self, from: IpAddr) -> Option<Place> {
        let mut lines = self.open.lines.lock().unwrap_or_else(PoisonError::into_inner);
        let own = lines.get(&from).copied().unwrap_or(0);
        if lines.values().sum::<usize>() >= LINES || (own >= OF_ONE && !from.to_canonical().is_loopback()) {
            return None;
        }
        lines.insert(from, own + 1);
        Some(Place { open: Arc::clone(&self.open), from })
    }

    /// Waits until no line is open.
    pub(super) async fn is_empty(&self) {
        while !self.open.lines.lock().unwrap_or_else(PoisonError::into_inner).is_empty() {
            self.open.ended.notified().await;
        }
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut lines = self.open.lines.lock().unwrap_or_else(PoisonError::into_inner);
        match lines.remove(&self.from) {
            Some(own) if own > 1 => drop(lines.insert(self.from, own - 1)),
            Some(_) | None => {}
        }
        self.open.ended.notify_one();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_machine_does_not_keep_the_others_out() {
        let room = Room::default();
        let from = |last: u8| IpAddr::from([192, 0, 2, last]);
        let taken = |last: u8| std::iter::from_fn(|| room.place(from(last))).take(100).collect::<Vec<_>>();
        let first = taken(1);
        assert_eq!(first.len(), 24);
        let others = [taken(2), taken(3)];
        assert_eq!(others.iter().map(Vec::len).collect::<Vec<_>>(), [24, 16]);
        drop(first);
        assert_eq!(taken(4).len(), 24);
        drop(others);
        // A proxy on this machine speaks for all; a place that was left is free again.
        let proxy = std::iter::from_fn(|| room.place(IpAddr::from([127, 0, 0, 1])));
        assert_eq!(proxy.take(100).collect::<Vec<_>>().len(), 64);
    }
}
