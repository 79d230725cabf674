//! HTML of letters: the text in a shape that reads on a phone. No remote content, no script, no picture.

use maud::{DOCTYPE, Markup, html};

/// A letter's HTML from its headed paragraphs.
pub(super) fn letter(title: &str, sections: &[(String, Vec<String>)]) -> String {
    let page: Markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
            }
            body style="font-family: sans-serif; line-height: 1.4; max-width: 40em; margin: 1em;" {
                h1 style="font-size: 1.2em;" { (title) }
                @for (heading, paragraphs) in sections {
                    @if !heading.is_empty() { h2 style="font-size: 1em; border-bottom: 1px solid #999;" { (heading) } }
                    @for paragraph in paragraphs {
                        p style="margin: 0.5em 0;" {
                            @for (index, line) in paragraph.lines().enumerate() {
                                @if index == 0 && !heading.is_empty() { strong { (line) } } @else { @if index > 0 { br; } (line.trim_start()) }
                            }
                        }
                    }
                }
            }
        }
    };
    page.into_string()
}

/// The same as plain text.
pub(super) fn text(title: &str, sections: &[(String, Vec<String>)]) -> String {
    let mut out = format!("{title}\n");
    for (heading, paragraphs) in sections {
        if !heading.is_empty() {
            out.push_str(&format!("\n{}\n", heading.to_uppercase()));
        }
        for paragraph in paragraphs {
            out.push_str(&format!("\n{paragraph}\n"));
        }
    }
    out
}
