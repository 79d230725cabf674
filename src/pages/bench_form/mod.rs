//! Bench forms: one self-contained page for each job, and one for engines that come in. A form knows its engine and
//! saves drop files that the intake takes.
//!
//! The fields are made from the schemas of the drops (`fields`), with small tables of what the engine knows (`offers`,
//! `knows`, `fills`) and of what is already done (`done`); readings have a section of their own (`places`). The script (`form.js` and those beside it, joined in `script`) reads and checks the
//! fields by the schema's words that stand on them, asks who is typing once, and makes the file.
//!
//! A form decides nothing: it never alters digits beyond the decimal comma, sends nothing anywhere, and what it saves
//! is judged by the same door as any other drop.

mod done;
mod fields;
mod fills;
mod knows;
mod offers;
mod places;
mod proposals;
mod script;
mod sections;

pub(super) use sections::heading;

use crate::pages::JobView;
use crate::pages::frame::scripted_page;
use crate::shop::{FactSet, Shop};
use knows::Knows;
use maud::{Markup, PreEscaped, html};
use sections::{AT_WORK, section};

/// The digest of the script of every form, as a content security policy names it.
#[must_use]
pub fn form_script_digest() -> String {
    script::hash()
}

/// Whose form it is, for the script.
struct Owner<'a> {
    site: &'a str,
    /// The job as it is written; empty on the form for engines that come in.
    job: &'a str,
    /// Its name in file names.
    slug: &'a str,
}

/// The form of one job, with everything its engine has; `set` are the job's drops.
#[must_use]
pub fn bench_form(view: &JobView, set: &FactSet, shop: &Shop, site: &str) -> String {
    let knows = Knows::of_job(view, set, shop);
    let slug = view.job.key.slug();
    let owner = Owner { site, job: &view.job.written, slug: &slug };
    let content = html! {
        p { a href={ "../jobs/" (slug) ".html" } { "What this job waits for, and every verdict" } }
        @if view.job.sheet.is_some() {
            @for (kind, heading) in AT_WORK { (section(kind, heading, &knows, Some(view))) }
        } @else {
            @if view.job.check_in.is_some() {
                p { "Its sheet is not here yet, so this form does not know the engine." }
            } @else {
                p { "This engine is not checked in yet; the form knows it once its check-in is filed." }
                (section("check-in", "Check in", &knows, None))
            }
            (section("withdrawal", "Withdraw an earlier drop", &knows, None))
        }
    };
    let title = format!("Bench form, job {}", view.job.written);
    page(&title, &owner, &knows, &content)
}

/// The form for an engine that comes in.
#[must_use]
pub fn check_in_form(shop: &Shop, site: &str) -> String {
    let knows = Knows::of_shop(shop);
    let owner = Owner { site, job: "", slug: "check-in" };
    let content = html! {
        (section("check-in", "Check in", &knows, None))
        (section("gauge", "Gauges: zero check, calibration, found bad", &knows, None))
    };
    page("Check in an engine", &owner, &knows, &content)
}

fn page(title: &str, owner: &Owner<'_>, knows: &Knows, sections: &Markup) -> String {
    let content = html! {
        p #dead.out {
            "This page needs scripts and they do not run here. Open it in a browser on a desktop or on Android, or "
            "fill in a list instead: " code { "benchdrop form " (if owner.job.is_empty() { "NO" } else { owner.job }) " --csv" }
            " at the shop's computer writes one with every place of the engine."
        }
        div #bench hidden="hidden" data-site=(owner.site) data-job=(owner.job) data-slug=(owner.slug) {
            p.quiet #by-file { "Nothing is sent from here: saving makes a file, and the file goes into the drop folder. Comma or point, as you like." }
            p.quiet #by-wire hidden="hidden" { "What you finish is handed to the shop at once, or kept here until the network is back. Comma or point, as you like." }
            p #state role="status" hidden="hidden" {}
            fieldset #head {
                legend { "Who is typing" }
                @if owner.job.is_empty() {
                    label.field { span { "job" b { " needed" } } input #job type="text" maxlength="40"; small { "the number on the engine's tag" } em.bad {} }
                }
                label.field { span { "who" b { " needed" } } input #who type="text" maxlength="60" list="list-people"; small { "initials or name; asked once" } em.bad {} }
                label.field { span { "device" } input #device type="text" maxlength="60"; small { "what this tablet or phone is called" } em.bad {} }
                p.buttons { button type="button" #keypad { "With keypad" } }
                p.quiet { "This device's clock says " strong #clock {} ". Put it right if that is wrong: drops are put in order by it. " strong.out #clocks {} }
            }
            (sections)
            div #handing hidden="hidden" {}
            details.section #saved hidden="hidden" { summary { h2 { "Saved on this device" } } div {} }
        }
        (knows.suggestions())
        script #knows type="application/json" { (PreEscaped(knows.tables())) }
    };
    scripted_page(title, "../", &content, script::TEXT, &script::hash())
}
