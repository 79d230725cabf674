//! The frame every page shares: head, style, links between pages, foot.

use crate::shop::RULE_SET;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// One small style for all pages: readable on a phone and on paper, light and dark, no colour without a word.
const STYLE: &str = "
:root { color-scheme: light dark; --line: #8886; background: Canvas; color: CanvasText; }
body { font-family: system-ui, sans-serif; line-height: 1.45; margin: 0 auto; padding: 1rem; max-width: 70rem; overflow-wrap: break-word; }
h1 { font-size: 1.4rem; margin: .2rem 0 .6rem; } h2 { font-size: 1.1rem; margin: 1.6rem 0 .4rem; } h3 { font-size: 1rem; margin: 1rem 0 .3rem; }
table { border-collapse: collapse; width: 100%; } .wide { overflow-x: auto; }
th, td { text-align: left; vertical-align: top; padding: .35rem .7rem .35rem 0; border-bottom: 1px solid var(--line); }
th { font-weight: 600; } td.number { font-variant-numeric: tabular-nums; white-space: nowrap; }
ul { margin: .2rem 0; padding-left: 1.1rem; } li { margin: .15rem 0; } .quiet { opacity: .75; } .out { font-weight: 700; }
figure { margin: .8rem 0; } .panels { display: flex; flex-wrap: wrap; gap: .3rem .8rem; } .panels > div { max-width: 10.4rem; } .panels > div:has(svg.fits) { max-width: 100%; }
.panels svg { display: inline-block; margin-right: .2rem; vertical-align: top; }
@media screen and (min-width: 60rem) { .panels > div { max-width: 15rem; } svg.profile, svg.above { height: 7rem; width: auto; } }
.panels p { margin: .1rem 0 .4rem; font-size: .9em; } svg { display: block; margin-top: .3rem; } svg.fits { max-width: 100%; height: auto; }
details { margin: .2rem 0; } summary { cursor: pointer; } nav a { margin-right: 1rem; display: inline-block; padding: .6rem 0; } code { font-size: .9em; word-break: break-all; }
footer { margin-top: 2rem; border-top: 1px solid var(--line); padding-top: .5rem; font-size: .85rem; }
.contents a { margin-right: .8rem; display: inline-block; } span.label { display: none; } section { break-inside: auto; }
@media screen and (max-width: 40rem) {
  table.rows thead { display: none; } table.rows tr { display: block; border-bottom: 1px solid var(--line); padding: .4rem 0; }
  table.rows td { display: block; border: 0; padding: .1rem 0; white-space: normal; overflow-wrap: anywhere; } table.rows td.none { display: none; }
  table.rows td:first-child { font-weight: 600; } span.label { display: inline; opacity: .75; }
}
@page { margin: 15mm; }
.sign { display: none; } .sign span { display: inline-block; width: 12rem; border-bottom: 1px solid; height: 2rem; }
@media print {
  nav, .contents { display: none; } .sign { display: block; } body { max-width: none; padding: 0; font-size: 10pt; line-height: 1.3; }
  h2, h3 { break-after: avoid; margin: .7rem 0 .2rem; } p { margin: .25rem 0; }
  tr, figure { break-inside: avoid; } svg { max-width: 100%; height: auto; } th, td { padding: .15rem .5rem .15rem 0; } .wide { overflow: visible; }
  table { font-size: 8pt; line-height: 1.2; } table.places { font-size: inherit; } #verdicts td.number, #history td.number { white-space: normal; } svg.strip { width: 8rem; }
}
";

/// What a page with fields to fill has beside that: wide touch targets, what is wrong in words beside its field.
const FORM_STYLE: &str = "
[hidden] { display: none !important; } em.bad { color: #b3261e; font-style: normal; font-weight: 600; } em.bad:empty, em.odd:empty { display: none; } em.odd { display: block; font-weight: 600; }
details.section { border-top: 1px solid var(--line); padding: .3rem 0; } details.section > summary { padding: .5rem 0; } details.section > summary h2 { display: inline; } details.aside > summary { padding: .5rem 0; }
details.feature { border-left: 3px solid var(--line); padding-left: .6rem; margin: .5rem 0; } details.feature > summary { padding: .4rem 0; }
fieldset { border: 1px solid var(--line); border-radius: .3rem; margin: .6rem 0; padding: .4rem .7rem; min-width: 0; } legend { font-weight: 600; }
form > div, fieldset, details.aside, .item { display: grid; grid-template-columns: repeat(auto-fill, minmax(15rem, 1fr)); gap: .2rem 1rem; align-items: start; }
form > div > fieldset, form > div > ul, fieldset > fieldset, details.aside, .item > fieldset, form > div > p, fieldset > p, .items, [data-shape=grid], fieldset > button, .item > button, .item > p, summary { grid-column: 1 / -1; }
.field { display: block; margin: .3rem 0; } .field > span { display: block; } .field b { font-weight: 400; opacity: .75; } small { display: block; opacity: .8; }
input, select, textarea, button { font: inherit; box-sizing: border-box; max-width: 100%; min-height: 2.6rem; padding: .3rem .5rem; }
.field > input, .field > select, textarea { width: 100%; } input[type=checkbox] { min-height: 1.4rem; width: 1.4rem; margin-right: .4rem; vertical-align: middle; }
.boxes { display: flex; flex-wrap: wrap; gap: .2rem 1rem; } .boxes label { padding: .4rem 0; } .ticks { display: block; } .item { border-bottom: 1px solid var(--line); padding: .4rem 0; }
table.places { margin: .6rem 0; width: auto; } table.places caption { text-align: left; font-weight: 600; } table.places input { width: 7rem; } td .unit { margin-left: .3rem; }
.keypad { position: fixed; inset: auto 0 0 0; display: grid; grid-template-columns: repeat(4, 1fr); gap: .3rem; padding: .4rem; max-width: 30rem; margin: 0 auto; background: Canvas; border-top: 1px solid var(--line); }
.keypad button { min-height: 3.6rem; font-size: 1.5rem; touch-action: manipulation; } .keypad .next { grid-column: 3 / -1; } .with-keypad { padding-bottom: 18rem; } @media print { .keypad { display: none; } }
html { scroll-padding-top: 4rem; } #state { position: sticky; top: 0; z-index: 1; margin: 0 0 .5rem; padding: .5rem 0; background: Canvas; border-bottom: 1px solid var(--line); font-weight: 600; }
.buttons button { margin-right: .6rem; min-width: 8rem; } button { cursor: pointer; }
@media (prefers-color-scheme: dark) { em.bad { color: #ffb4ab; } }
@media print { details > * { display: block; } details::details-content { content-visibility: visible; display: block; } }
";

/// Labels: a grid in millimetres whose three columns and seven rows fit inside the margins of A4 and of Letter; black on white
/// whatever the colours of the page, since codes are read from the screen too.
const LABEL_STYLE: &str = "
.labels { display: grid; grid-template-columns: repeat(auto-fill, 62mm); grid-auto-rows: minmax(36mm, auto); }
.label { box-sizing: border-box; border: .2mm dashed #888; padding: 2mm 2.5mm; background: #fff; color: #000; font-size: 7.5pt; line-height: 1.2;
  display: flow-root; position: relative; break-inside: avoid; overflow-wrap: anywhere; print-color-adjust: exact; }
.label h2 { font-size: 12.5pt; line-height: 1.1; margin: 0 0 .8mm; } .label p { margin: 0; } .label p.foot { margin-top: .8mm; font-weight: 600; }
.label p.text { font-family: ui-monospace, monospace; font-size: 8pt; font-weight: 600; clear: both; padding-top: .8mm; }
svg.code { float: right; width: 20mm; height: 20mm; margin: -1mm -1.5mm 0 1mm; }
@page { margin: 10mm; }
@media print { h1, footer, main > p { display: none; } }
";

/// What a page without scripts may load: nothing.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'";

/// A whole page without scripts. `up` leads from this page to the board's folder: empty or `../`.
pub(super) fn page(title: &str, up: &str, content: &Markup) -> String {
    framed(title, up, content, POLICY, Beside::Nothing)
}

/// The page of labels of a job; they alone are printed.
pub(super) fn label_page(title: &str, content: &Markup) -> String {
    framed(title, "../", content, POLICY, Beside::Style(LABEL_STYLE))
}

/// What a page has beside its content.
enum Beside<'a> {
    Nothing,
    /// A style of its own.
    Style(&'a str),
    /// Fields with their style and the script that reads them.
    Script(&'a str),
}

/// A whole page with one script of our own; `hash` names it, and no other script runs.
pub(super) fn scripted_page(title: &str, up: &str, content: &Markup, script: &str, hash: &str) -> String {
    let policy = format!(
        "default-src 'none'; style-src 'unsafe-inline'; script-src '{hash}'; connect-src 'self'; base-uri 'none'; form-action 'none'"
    );
    framed(title, up, content, &policy, Beside::Script(script))
}

/// A page on its own, to be kept and handed over: no link, no script, nothing that changes with the next page. `content` is
/// HTML already; `mark` is what programs read of it.
pub(super) fn paper(title: &str, mark: &str, head: &Markup, content: &str) -> String {
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                (head_of(title, POLICY))
                meta name="issued" content=(mark);
                style { (PreEscaped(STYLE)) }
            }
            body { main { h1 { (title) } (head) div id="said" { (PreEscaped(content)) } } }
        }
    };
    markup.into_string()
}

/// What every head begins with.
fn head_of(title: &str, policy: &str) -> Markup {
    html! {
        meta charset="utf-8";
        meta name="viewport" content="width=device-width, initial-scale=1";
        meta http-equiv="Content-Security-Policy" content=(policy);
        title { (title) }
    }
}

fn framed(title: &str, up: &str, content: &Markup, policy: &str, beside: Beside<'_>) -> String {
    let (style, script) = match beside {
        Beside::Nothing => ("", None),
        Beside::Style(style) => (style, None),
        Beside::Script(script) => (FORM_STYLE, Some(script)),
    };
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                (head_of(title, policy))
                style { (PreEscaped(STYLE)) (PreEscaped(style)) }
            }
            body {
                nav {
                    a href={ (up) "board.html" } { "Board" }
                    a href={ (up) "today.html" } { "Today" }
                    a href={ (up) "gauges.html" } { "Gauges" }
                    a href={ (up) "arrivals.html" } { "Arrivals" }
                    a href={ (up) "forms/check-in.html" } { "Check in an engine" }
                }
                main { h1 { (title) } (content) }
                footer {
                    "Written by benchdrop, rule set " (RULE_SET) ". Limits are those of each engine's own sheet. Local codes and "
                    "licensed or qualified practice govern where work can hurt."
                }
                @if let Some(script) = script { script { (PreEscaped(script)) } }
            }
        }
    };
    markup.into_string()
}

/// Days and hours between two instants in Unix milliseconds, for "how long".
pub(super) fn how_long(since: i64, now: i64) -> String {
    let hours = (now - since).max(0) / 3_600_000;
    match (since, hours) {
        (0, _) => String::new(),
        (_, 0) => "less than an hour".to_owned(),
        (_, 1..=47) => format!("{hours} h"),
        (_, _) => format!("{} days", hours / 24),
    }
}
