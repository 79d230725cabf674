//! Where the bolts of a joint stand, and the order they are tightened and let go in.
//!
//! The order is the sheet's own. Where it has none, a general one stands in, which every reader is told is not the maker's:
//! from the middle outwards for tightening, the reverse for letting go (trade notes D). The reverse is taken of the
//! tightening list itself, never worked out anew.

use crate::sheets::Sheet;
use crate::sheets::hardware::Fasteners;

/// The bolts of a joint seen from above, row by row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// What lies to the left: `front`; may be empty.
    pub left: String,
    /// What lies to the right; may be empty.
    pub right: String,
    /// Rows from top to bottom.
    pub rows: Vec<LayoutRow>,
}

/// One row of a layout.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LayoutRow {
    /// What side it is: `plug side`; may be empty.
    pub name: String,
    /// Bolt places from left to right; an empty one where no bolt stands.
    pub places: Vec<String>,
}

impl Layout {
    /// Every place with its row and column, counted from 0.
    pub fn spots(&self) -> impl Iterator<Item = (&str, usize, usize)> {
        self.rows.iter().enumerate().flat_map(|(row, line)| {
            let places = line.places.iter().enumerate().filter(|(_, place)| !place.is_empty());
            places.map(move |(column, place)| (place.as_str(), row, column))
        })
    }

    /// From the middle outwards: the nearest to the middle first, of those equally near each time the one farthest from the
    /// last, so that the sides take turns.
    fn inside_out(&self) -> Vec<&str> {
        // Doubled, so that the middle between two bolts is a whole number.
        let spots: Vec<(&str, i64, i64)> =
            self.spots().map(|(place, row, column)| (place, doubled(row), doubled(column))).collect();
        let middle = |of: fn(&(&str, i64, i64)) -> i64| {
            let (low, high) = (spots.iter().map(of).min(), spots.iter().map(of).max());
            low.zip(high).map_or(0, |(low, high)| i64::midpoint(low, high))
        };
        let (y, x) = (middle(|spot| spot.1), middle(|spot| spot.2));
        let apart =
            |spot: &(&str, i64, i64), row: i64, column: i64| (spot.1 - row).pow(2) + (spot.2 - column).pow(2);
        let mut left: Vec<_> = spots.iter().collect();
        let (mut last, mut order) = ((y, x), Vec::new());
        while let Some(nearest) = left.iter().map(|spot| apart(spot, y, x)).min() {
            let near = left.iter().enumerate().filter(|(_, spot)| apart(spot, y, x) == nearest);
            // The first of those equally far, so that the order is one.
            let next = near.rev().max_by_key(|(_, spot)| apart(spot, last.0, last.1)).map(|(index, _)| index);
            let Some(index) = next else { break };
            let spot = left.remove(index);
            last = (spot.1, spot.2);
            order.push(spot.0);
        }
        order
    }
}

fn doubled(index: usize) -> i64 {
    i64::try_from(index).unwrap_or(i64::MAX / 4) * 2
}

/// An order of bolts, as far as it is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoltOrder<'a> {
    /// Bolt places in order; empty where only words are known.
    pub places: Vec<&'a str>,
    /// The order in words; may be empty where places say it.
    pub words: String,
    /// The sheet's own; false for a general one, not the maker's.
    pub own: bool,
}

impl Fasteners {
    /// It is drawn down in several stages by more than two: then the order matters.
    #[must_use]
    pub fn order_matters(&self) -> bool {
        self.stage_count() > 1 && self.count() > 2
    }

    /// The order matters and the sheet has none of its own: the owner is asked.
    #[must_use]
    pub fn lacks_order(&self) -> bool {
        self.order_matters() && !self.tightening().own
    }

    /// The order matters, or the sheet gives one.
    #[must_use]
    pub fn has_order(&self) -> bool {
        self.order_matters() || !self.pattern.is_empty() || !self.pattern_words.is_empty()
    }

    /// The order it is tightened in: the sheet's list, else the sheet's words, else a general one.
    #[must_use]
    pub fn tightening(&self) -> BoltOrder<'_> {
        let words = self.pattern_words.clone();
        if !self.pattern.is_empty() {
            let places = self.pattern.iter().map(String::as_str).collect();
            return BoltOrder { places, words, own: self.pattern_own };
        }
        if !words.is_empty() {
            return BoltOrder { places: Vec::new(), words, own: self.pattern_own };
        }
        let places = self.layout.as_ref().map_or_else(Vec::new, Layout::inside_out);
        BoltOrder { places, words: "from the middle outwards, the sides in turn".to_owned(), own: false }
    }

    /// The order it is let go in: exactly the reverse of the tightening list.
    #[must_use]
    pub fn loosening(&self) -> BoltOrder<'_> {
        let mut order = self.tightening();
        order.places.reverse();
        order.words = match (self.pattern_words.is_empty(), self.pattern.is_empty()) {
            (false, _) => format!("the reverse of tightening ({})", self.pattern_words),
            (true, true) => "from the ends inwards, the sides in turn".to_owned(),
            (true, false) => String::new(),
        };
        order
    }

    /// In how many rounds it is let go: three, two where it is tightened in one stage.
    #[must_use]
    pub fn loosening_rounds(&self) -> usize {
        if self.stage_count() > 1 { 3 } else { 2 }
    }
    /// Does it hold what valve springs push away, a rocker shaft or a camshaft over the valves? Then it is let go evenly
    /// (trade notes D). Parts are told by the beginning of their names.
    #[must_use]
    pub fn is_pushed_by_springs(&self, sheet: &Sheet) -> bool {
        let pushed = ["cam cap", "cam carrier", "rocker shaft", "rocker stand"];
        let held = self.holds.iter().filter_map(|part| sheet.parts.get(*part));
        held.map(|part| part.key.to_lowercase()).any(|key| pushed.iter().any(|name| key.starts_with(name)))
    }
}
