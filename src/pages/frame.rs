//! The frame every page shares: head, style, links between pages, foot.

use crate::shop::RULE_SET;
use maud::{DOCTYPE, Markup, html};

/// One small style for all pages: readable on a phone and on paper, light and dark, no colour without a word.
const STYLE: &str = "
:root { color-scheme: light dark; --line: #8886; --soft: #8882; }
body { font-family: system-ui, sans-serif; line-height: 1.45; margin: 0 auto; padding: 1rem; max-width: 70rem; }
h1 { font-size: 1.4rem; margin: .2rem 0 .6rem; } h2 { font-size: 1.1rem; margin: 1.6rem 0 .4rem; } h3 { font-size: 1rem; margin: 1rem 0 .3rem; }
table { border-collapse: collapse; width: 100%; } .wide { overflow-x: auto; }
th, td { text-align: left; vertical-align: top; padding: .35rem .7rem .35rem 0; border-bottom: 1px solid var(--line); }
th { font-weight: 600; } td.number { font-variant-numeric: tabular-nums; white-space: nowrap; }
ul { margin: .2rem 0; padding-left: 1.1rem; } li { margin: .15rem 0; } .quiet { opacity: .75; } .out { font-weight: 700; }
details { margin: .2rem 0; } summary { cursor: pointer; } nav a { margin-right: 1rem; } code { font-size: .9em; word-break: break-all; }
footer { margin-top: 2rem; border-top: 1px solid var(--line); padding-top: .5rem; font-size: .85rem; }
@media print { nav { display: none; } body { max-width: none; padding: 0; } details > * { display: block; } }
";

/// A whole page. `up` leads from this page to the board's folder: empty or `../`.
pub(super) fn page(title: &str, up: &str, content: &Markup) -> String {
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                title { (title) }
                style { (maud::PreEscaped(STYLE)) }
            }
            body {
                nav { a href={ (up) "board.html" } { "Board" } a href={ (up) "arrivals.html" } { "Arrivals" } }
                main { h1 { (title) } (content) }
                footer {
                    "Written by benchdrop, rule set " (RULE_SET) ". Limits are those of each engine's own sheet. Local codes and "
                    "licensed or qualified practice govern where work can hurt."
                }
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
