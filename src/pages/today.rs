//! What the daily letter says, as a page: whoever stands at the board need not look for a letter.

use crate::pages::frame::page;
use maud::html;

/// Headings with their paragraphs; the first line of each says what it is about.
#[must_use]
pub fn today(subject: &str, sections: &[(String, Vec<String>)]) -> String {
    let content = html! {
        p.quiet { (subject) ". The letter of the day is made of this." }
        @for (heading, paragraphs) in sections {
            section {
                h2 { (heading) }
                @for paragraph in paragraphs {
                    p { @for (index, line) in paragraph.lines().enumerate() {
                        @if index == 0 { strong { (line) } }
                        @else { br; (line.trim_start()) }
                    } }
                }
            }
        }
    };
    page("Today", "", &content)
}
