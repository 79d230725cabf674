//! Reassembly: no problem is open; each is closed by a named person. It is heard of at every gate: what is seized, doubtful or
//! lost does not wait for the assembly.

use crate::facts::DispositionWord;
use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::Problems).wrong();
    let open = job.open_problems().map(|problem| {
        let what = format!(
            "{} ({}, drop {} item {}): say what was done, and close it",
            problem.what,
            problem.said.words(),
            problem.said.fact.short(),
            problem.item
        );
        line.one(Actor::Bench, problem.about.clone(), what)
    });
    let mut blockers: Vec<Blocker> = open.collect();
    let left = parts(job, |_| true).filter_map(|(place, _, _)| {
        let word = job.decided_on(place).filter(|word| word.what == DispositionWord::OpenProblem)?;
        Some((place, Actor::Bench, format!("left open by {}: say what becomes of it", word.by)))
    });
    blockers.extend(line.parts(job, left));
    blockers
}
