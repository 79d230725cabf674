//! The readings that count, by place: what is questioned is kept out of a plan as it is of a verdict.

use crate::judgement::{Judgement, ReadingRef};
use crate::metrology::Exact;
use crate::sheets::Member;
use crate::shop::{Job, Place, Reading, ReadingSet, SurfaceKey};
use std::collections::BTreeSet;

/// The readings of a job without those that are questioned.
pub(super) struct Readings<'a> {
    pub(super) job: &'a Job,
    questioned: BTreeSet<ReadingRef>,
}

/// One place, its mean, and the readings it was made of.
pub(super) struct PlaceRead<'a> {
    pub(super) place: Place,
    pub(super) mean: Exact,
    pub(super) readings: Vec<&'a Reading>,
}

impl<'a> Readings<'a> {
    pub(super) fn of(job: &'a Job, judgement: &Judgement) -> Self {
        Self { job, questioned: judgement.questions.iter().map(|question| question.reading).collect() }
    }

    /// The places of a set that have a reading that counts.
    pub(super) fn places<'s>(&self, set: &'s ReadingSet) -> Vec<PlaceRead<'s>> {
        let counts = |reading: &&Reading| {
            !self.questioned.contains(&ReadingRef { fact: reading.fact, row: reading.row })
        };
        let read = set.readings.iter().filter_map(|(place, readings)| {
            let readings: Vec<&Reading> = readings.iter().filter(counts).collect();
            let values: Vec<Exact> = readings.iter().map(|reading| reading.value).collect();
            Some(PlaceRead { place: *place, mean: Exact::mean(&values)?, readings })
        });
        read.collect()
    }

    /// Smallest and largest place of a surface as it is now, of those that are judged; `None` where nothing counts.
    pub(super) fn ends(&self, key: SurfaceKey) -> Option<(Exact, Exact)> {
        self.ends_of(key, |_| true)
    }

    /// The same of the places that count in a pair.
    pub(super) fn ends_of_member(&self, member: &Member, position: usize) -> Option<(Exact, Exact)> {
        let counts = |listed: &[usize], index: usize| listed.is_empty() || listed.contains(&index);
        let key = SurfaceKey { feature: member.feature, position };
        self.ends_of(key, |place| {
            counts(&member.stations, place.station) && counts(&member.directions, place.direction)
        })
    }

    fn ends_of(&self, key: SurfaceKey, counts: impl Fn(&Place) -> bool) -> Option<(Exact, Exact)> {
        let judged = self.job.feature(key)?.stations.len();
        let (_, set) = self.job.surfaces.get(&key)?.present()?;
        let read = self.places(set);
        let means =
            || read.iter().filter(|read| read.place.station < judged && counts(&read.place)).map(|r| r.mean);
        Some((means().min()?, means().max()?))
    }
}
