//! Members of pairs, by the names of their features, stations and directions.

use super::Reader;
use crate::sheets::pair::Member;
use crate::sheets::{Sheet, written};

impl Reader {
    /// Directions that count of the outer, by their names.
    pub(super) fn reuse_directions(
        &mut self,
        at: &str,
        from: &written::PairWritten,
        outer: Option<&Member>,
        sheet: &Sheet,
    ) -> Vec<usize> {
        let Some(outer) = outer else { return Vec::new() };
        let Some(feature) = sheet.features.get(outer.feature) else { return Vec::new() };
        let counting = outer.directions_of(feature);
        let mut found = Vec::new();
        for name in &from.reuse_directions {
            match feature.direction(name).filter(|direction| counting.contains(direction)) {
                Some(direction) => found.push(direction),
                None => {
                    self.fault(at, name, &format!("a direction of {} that counts in this pair", feature.key));
                }
            }
        }
        found
    }

    /// Which of the walls lies in the loaded half.
    pub(super) fn loaded(
        &mut self,
        at: &str,
        from: &written::PairWritten,
        walls: Option<&Member>,
        sheet: &Sheet,
    ) -> Option<usize> {
        let name = from.loaded.as_ref()?;
        let found = walls.and_then(|walls| {
            let feature = sheet.features.get(walls.feature)?;
            let station = feature.station(name)?;
            if walls.stations.is_empty() {
                Some(station)
            } else {
                walls.stations.iter().position(|at| *at == station)
            }
        });
        if found.is_none() {
            self.fault(at, name, "a station of its walls");
        }
        found
    }

    pub(super) fn member(
        &mut self,
        at: &str,
        from: &written::MemberWritten,
        sheet: &Sheet,
    ) -> Option<Member> {
        let Some((index, feature)) = sheet.feature(&from.feature) else {
            self.fault(at, &from.feature, "a feature listed under features");
            return None;
        };
        let mut indices = |names: &[String], find: &dyn Fn(&str) -> Option<usize>, what: &str| {
            names
                .iter()
                .filter_map(|name| {
                    let found = find(name);
                    if found.is_none() {
                        self.fault(at, name, &format!("a {what} of {}", feature.key));
                    }
                    found
                })
                .collect::<Vec<usize>>()
        };
        let stations = indices(&from.stations, &|name| feature.station(name), "station");
        let directions = indices(&from.directions, &|name| feature.direction(name), "direction");
        Some(Member { feature: index, stations, directions })
    }
}
