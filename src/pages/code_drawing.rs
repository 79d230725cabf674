//! A square code (ISO/IEC 18004) as a drawing: black on white on every page, with the white border a reader needs.

use maud::{Markup, html};
use qrcodegen::{QrCode, QrCodeEcc};

/// White modules around the code (ISO/IEC 18004, quiet zone).
const QUIET: i32 = 4;

/// The drawing of a text as a code, said in `words` to who cannot see it; `None` of a text that is too long for a code.
pub(crate) fn code_drawing(text: &str, words: &str) -> Option<Markup> {
    let code = QrCode::encode_text(text, QrCodeEcc::Medium).ok()?;
    let side = code.size() + 2 * QUIET;
    Some(html! {
        svg.code role="img" aria-label=(words) viewBox={ "0 0 " (side) " " (side) } {
            path fill="#fff" d={ "M0 0h" (side) "v" (side) "h-" (side) "z" } {}
            path fill="#000" d=(dark(&code)) {}
        }
    })
}

/// The same for a terminal, two lines of the code in one of text, dark on light whatever the terminal's colours; `None` of a
/// text that is too long for a code.
#[must_use]
pub fn code_text(text: &str) -> Option<String> {
    let code = QrCode::encode_text(text, QrCodeEcc::Medium).ok()?;
    let side = -QUIET..code.size() + QUIET;
    let mut drawn = String::new();
    for y in side.clone().step_by(2) {
        // Black on white, as ISO 6429 (SGR) says it.
        drawn.push_str("\u{1b}[30;107m");
        for x in side.clone() {
            drawn.push(match (code.get_module(x, y), code.get_module(x, y + 1)) {
                (true, true) => '\u{2588}',
                (true, false) => '\u{2580}',
                (false, true) => '\u{2584}',
                (false, false) => ' ',
            });
        }
        drawn.push_str("\u{1b}[0m\n");
    }
    Some(drawn)
}

/// The dark modules as one path: a bar for each run of a line.
fn dark(code: &QrCode) -> String {
    let mut path = String::new();
    for y in 0..code.size() {
        let mut x = 0;
        while x < code.size() {
            let run = (x..code.size()).take_while(|x| code.get_module(*x, y)).count();
            let run = i32::try_from(run).unwrap_or_default();
            if run > 0 {
                path.push_str(&format!("M{} {}h{run}v1h-{run}z", x + QUIET, y + QUIET));
            }
            x += run.max(1);
        }
    }
    path
}
