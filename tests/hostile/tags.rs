//! A reader of HTML that knows only the tags and attributes our own pages and letters have: whatever else opens a
//! tag came from a stranger's text. Pages to type at have fields and one script beside that; the script is the
//! program's own text, and its tables hold no bracket.

use super::temp_shop::TempShop;

/// The only script a page may have.
const SCRIPT: &str = concat!(
    include_str!("../../src/pages/bench_form/form.js"),
    include_str!("../../src/pages/bench_form/pictures.js"),
    include_str!("../../src/pages/bench_form/start.js"),
    include_str!("../../src/pages/bench_form/labels.js"),
    include_str!("../../src/pages/bench_form/sending.js"),
    include_str!("../../src/pages/bench_form/keypad.js")
);

const TAGS: [&str; 41] = [
    "html",
    "head",
    "meta",
    "title",
    "style",
    "body",
    "nav",
    "a",
    "main",
    "h1",
    "h2",
    "h3",
    "p",
    "div",
    "table",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
    "ul",
    "ol",
    "li",
    "strong",
    "em",
    "span",
    "code",
    "details",
    "summary",
    "br",
    "footer",
    "header",
    "section",
    "hr",
    "svg",
    "line",
    "circle",
    "path",
    "figure",
    "figcaption",
    "text",
];
const ATTRIBUTES: [&str; 33] = [
    "lang",
    "charset",
    "name",
    "content",
    "http-equiv",
    "href",
    "class",
    "title",
    "style",
    "id",
    "open",
    "colspan",
    // Of drawings.
    "role",
    "aria-label",
    "width",
    "height",
    "viewBox",
    "fill",
    "stroke",
    "stroke-width",
    "stroke-dasharray",
    "x1",
    "x2",
    "y1",
    "y2",
    "cx",
    "cy",
    "r",
    "d",
    "fill-opacity",
    "stroke-opacity",
    "font-size",
    "text-anchor",
];

const FORM_TAGS: [&str; 16] = [
    "form", "fieldset", "legend", "label", "input", "select", "option", "textarea", "button", "datalist",
    "template", "small", "b", "caption", "script", "h4",
];
const FORM_ATTRIBUTES: [&str; 14] = [
    "accept",
    "multiple",
    "type",
    "value",
    "maxlength",
    "inputmode",
    "list",
    "rows",
    "hidden",
    "selected",
    "autocomplete",
    "novalidate",
    "name",
    "min",
];

/// Every page and every letter of the shop has only our own tags.
pub(super) fn only_ours(shop: &TempShop) {
    for (path, text) in shop.pages() {
        let form = path.components().any(|step| step.as_os_str() == "forms");
        read(&text, form).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
    }
    for mail in shop.letters() {
        check(&mail.html).unwrap_or_else(|why| panic!("{}: {why}", mail.subject));
    }
}

/// Reads a whole page or letter; the first thing in it that is not ours is the error.
pub(super) fn check(html: &str) -> Result<(), String> {
    read(html, false)
}

fn read(html: &str, form: bool) -> Result<(), String> {
    let mut rest = html.strip_prefix("<!DOCTYPE html>").ok_or("no DOCTYPE in front")?;
    while let Some((text, tag)) = rest.split_once('<') {
        entities(text)?;
        let shown: String = tag.chars().take(60).collect();
        let after = one_tag(tag, form).map_err(|why| format!("{why}: <{shown}"))?;
        rest = after;
        if tag.starts_with("script ") {
            // Tables for the script: nothing in them can end the element or open another.
            rest = rest
                .split_once('<')
                .filter(|(_, end)| end.starts_with("/script>"))
                .ok_or("a bracket in a table")?
                .1;
            rest = rest.strip_prefix("/script>").ok_or("script does not end")?;
        } else if tag.starts_with("script>") {
            rest = rest
                .strip_prefix(SCRIPT)
                .and_then(|rest| rest.strip_prefix("</script>"))
                .ok_or("a script that is not ours")?;
        }
        if tag.starts_with("style>") {
            // Style is ours alone and ends where it says so.
            rest = rest.split_once("</style>").ok_or("style does not end")?.1;
        }
    }
    entities(rest)
}

/// The text after one tag.
fn one_tag(tag: &str, form: bool) -> Result<&str, String> {
    let (closing, tag) = tag.strip_prefix('/').map_or((false, tag), |rest| (true, rest));
    let end = tag.find(|c: char| !c.is_ascii_alphanumeric()).ok_or("the tag does not end")?;
    let (name, mut rest) = tag.split_at(end);
    let known = TAGS.contains(&name) || form && FORM_TAGS.contains(&name);
    if !known {
        return Err(format!("the tag {name:?} is not ours"));
    }
    loop {
        if let Some(after) = rest.strip_prefix('>') {
            return Ok(after);
        }
        let attribute =
            rest.strip_prefix(' ').filter(|_| !closing).ok_or("something in the tag is not an attribute")?;
        let (name, value) = attribute.split_once("=\"").ok_or("an attribute without a quoted value")?;
        let of_forms = form && (FORM_ATTRIBUTES.contains(&name) || name.starts_with("data-"));
        if !ATTRIBUTES.contains(&name) && !of_forms {
            return Err(format!("the attribute {name:?} is not ours"));
        }
        let (value, after) = value.split_once('"').ok_or("a quote that does not end")?;
        entities(value)?;
        if name == "href" && !is_our_link(value) {
            return Err(format!("the link {value:?} is not ours"));
        }
        rest = after;
    }
}

/// Another of our pages, or a place on the same page.
fn is_our_link(link: &str) -> bool {
    let plain = |name: &str| !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
    if let Some(anchor) = link.strip_prefix('#') {
        return plain(anchor);
    }
    let (link, anchor) = link.split_once('#').map_or((link, None), |(link, anchor)| (link, Some(anchor)));
    if anchor.is_some_and(|anchor| !plain(anchor)) {
        return false;
    }
    if let Some(picture) = link.strip_prefix("../pictures/") {
        let (job, name) = picture.split_once('/').unwrap_or_default();
        let named = name.split_once('.').filter(|(_, ending)| ["jpg", "png", "webp"].contains(ending));
        return plain(job) && named.is_some_and(|(hash, _)| hash.len() == 64 && plain(hash));
    }
    let up = link.strip_prefix("../").unwrap_or(link);
    let path = up.strip_prefix("../").unwrap_or(up);
    path.strip_suffix(".html").is_some_and(|path| path.split('/').count() <= 3 && path.split('/').all(plain))
}

/// Text between tags: no bare `<` or `>`, and `&` only as an entity.
fn entities(text: &str) -> Result<(), String> {
    if text.contains('>') || text.contains('<') {
        return Err(format!("a bare bracket in {text:?}"));
    }
    for after in text.split('&').skip(1) {
        let known = ["amp;", "lt;", "gt;", "quot;"].iter().any(|entity| after.starts_with(entity));
        if !known {
            return Err(format!("a bare ampersand in {text:?}"));
        }
    }
    Ok(())
}

#[test]
fn the_reader_sees_what_is_not_ours() {
    let page = |inside: &str| format!("<!DOCTYPE html><html lang=\"en\"><body>{inside}</body></html>");
    read(&page(&format!("<fieldset data-key=\"x\"></fieldset><script>{SCRIPT}</script>")), true).unwrap();
    for harm in
        ["<script>alert(1)</script>", "<script type=\"application/json\"><b></script>", "<img src=\"x\">"]
    {
        assert!(read(&page(harm), true).is_err(), "{harm}");
    }
    check(&page("<p class=\"out\">a &lt;b&gt; &amp;</p><a href=\"../board.html\">Board</a>")).unwrap();
    for harm in [
        "<script>alert(1)</script>",
        "<img src=x onerror=y>",
        "<p onclick=\"x\">",
        "<p class=x>",
        "<p class=\"a\"\"><b>",
        "a < b",
        "a > b",
        "&nbsp;",
        "AT&T",
        "<a href=\"https://elsewhere.example/\">",
        "<a href=\"javascript:x\">",
        "<a href=\"//elsewhere.example/x.html\">",
        "<a href=\"#a b\">",
        "<p",
        "</p class=\"x\">",
    ] {
        assert!(check(&page(harm)).is_err(), "{harm}");
    }
}
