//! The order in which things happen.

use super::bench::Bench;
use super::scenario::{JOB, KD3, OV24, SECOND, Scribe, demo_shop};
use super::stage::Stage;
use super::{Result, first, second};
use crate::clock::{Clock as _, SystemClock};
use jiff::Timestamp;

/// Drops the story, chapter by chapter, each when the one before is taken in.
pub(super) fn play(stage: &Stage<'_>) -> Result<()> {
    // From noon, so that it tells the same number of days at whatever hour it is played.
    const DAY: i64 = 86_400;
    let today = SystemClock::new().now().as_second().div_euclid(DAY) * DAY;
    let begin = Timestamp::from_second(today - 6 * DAY + DAY / 2)?;
    let shop = demo_shop(&Scribe::from(begin));
    stage.chapter("the shop: two sheets, house rules, prices, people, gauges", &shop)?;
    let first = &mut Bench::of(JOB, OV24, &first::CUTS, begin);
    let second = &mut Bench::of(SECOND, KD3, &[], begin);
    first.later(1);
    second.later(3);
    first::check_in(first);
    first::teardown(first);
    stage.chapter("an engine is checked in, taken apart, counted into bags and cleaned", &first.chapter())?;
    inspection(stage, first)?;
    machining(stage, first)?;
    assembly(stage, first)?;
    second::half_way(second);
    stage.chapter("a second engine comes as far as its inspection", &second.chapter())
}

fn inspection(stage: &Stage<'_>, first: &mut Bench) -> Result<()> {
    first::findings(first);
    let bores = first::bores(first);
    stage.chapter(
        "it is looked at, crack tested and measured: every place its sheet asks for",
        &first.chapter(),
    )?;
    let swapped = first::mains(first);
    let mut papers = first.chapter();
    let broken =
        "{\"kind\": \"measurements\", \"version\": 1, \"job\": \"24-017\", \"body\": {\"readings\": [,]}}\n";
    papers.push(("broken.json".to_owned(), broken.to_owned()));
    papers.push((format!("{JOB} bores (1).json"), bores));
    stage.chapter(
        "the main journals, one with swapped digits; a broken file; the bores once more under another name",
        &papers,
    )?;
    first::pins(first);
    let pins = first.chapter();
    for (name, text) in &pins {
        stage.half_written("the crankpins: half a file, completed a moment later", name, text)?;
    }
    first::correction(first, &swapped);
    stage.chapter("a late correction, and what is proposed then", &first.chapter())?;
    first::agree(first, &stage.plan(JOB)?);
    stage.chapter(
        "plan A is agreed to, the money approved, parts are here, the inspection is signed",
        &first.chapter(),
    )
}

fn machining(stage: &Stage<'_>, first: &mut Bench) -> Result<()> {
    first::machine(first);
    stage.chapter("the crankshaft is out and back, the block is bored", &first.chapter())?;
    first::measure_again(first);
    stage.chapter("all is measured again: one crankpin is tapered", &first.chapter())?;
    stage.say_what_waits(JOB, "crankpin 3")?;
    first::back_to_the_grinder(first);
    first::plug_left_out(first);
    stage.chapter(
        "it goes back and is right now; six of seven gallery plugs are counted in",
        &first.chapter(),
    )?;
    stage.say_what_waits(JOB, "G20")?;
    first::plug_found(first);
    stage.chapter("the seventh plug goes in, the machining is signed", &first.chapter())
}

fn assembly(stage: &Stage<'_>, first: &mut Bench) -> Result<()> {
    let wrong = first::old_head_bolts(first);
    stage.chapter("it goes together; the head with its old bolts, which are used once", &first.chapter())?;
    stage.say_what_waits(JOB, "G03")?;
    first::new_head_bolts(first, &wrong);
    first::hand_over(first);
    stage.chapter("new head bolts; checked, started, paid and handed over", &first.chapter())
}
