//! A person at the bench form: walks over the fields in the order they stand on the page and types, chooses and ticks
//! what a body says, with a decimal comma where there is a figure.

use crate::browser::{Browser, TAB};
use serde_json::{Value, json};
use std::fs;

/// Gives each field of a holder: its key, its shape, where it is on the page, and what stands in it.
const FIELDS: &str = r#"
const at = (path) => document.evaluate(path, document, null, 9, null).singleNodeValue;
const holderOf = (slot) => slot.parentElement.closest("[data-holder]");
const pathOf = (node) => {
  if (!node.parentElement) return "/" + node.localName;
  const same = [...node.parentElement.children].filter((one) => one.localName === node.localName);
  return `${pathOf(node.parentElement)}/${node.localName}[${same.indexOf(node) + 1}]`;
};
const fieldsOf = (holder) => [...holder.querySelectorAll("[data-key]")].filter((slot) => holderOf(slot) === holder).map((slot) => {
  const { key, shape, alternative } = slot.dataset;
  const input = ["list", "object", "picks", "grid"].includes(shape) ? null : slot.querySelector("input, select, textarea");
  return {
    key, shape, alternative: Boolean(alternative), at: pathOf(slot), input: input && pathOf(input),
    kind: input && input.localName, value: input ? input.value : "", fixed: Boolean(input && input.hidden),
    boxes: [...slot.querySelectorAll(".boxes input")].map((box) => ({ at: pathOf(box), value: box.value, checked: box.checked })),
    items: [...slot.querySelectorAll(":scope > .items > div")].map(pathOf),
  };
});
const fillsOf = (holder) => [...holder.querySelectorAll(":scope > .fills option")].filter((one) => one.value)
  .map((one) => ({ at: pathOf(one), values: JSON.parse(one.value) }));
const closed = (path) => {
  const above = [];
  for (let one = at(path).parentElement; one; one = one.parentElement) if (one.localName === "details" && !one.open) above.unshift(pathOf(one) + "/summary");
  return above;
};
"#;

/// One section of a form that is open in a browser.
pub(super) struct Typist<'a> {
    browser: &'a Browser,
    section: String,
}

impl<'a> Typist<'a> {
    pub(super) fn at(browser: &'a Browser, kind: &str, who: &str) -> Self {
        if browser.value("//input[@id='who']") != who {
            browser.clear("//input[@id='who']");
            browser.type_in("//input[@id='who']", who);
        }
        Self { browser, section: format!("//details[@id='{kind}']") }
    }

    fn ask(&self, script: &str) -> Value {
        self.browser.run(&format!("{FIELDS}\nreturn {script};"))
    }

    fn fields(&self, holder: &str) -> Vec<Value> {
        self.ask(&format!("fieldsOf(at({}))", json!(holder))).as_array().unwrap().clone()
    }

    /// Opens what is folded away above a field.
    fn unfold(&self, at: &str) {
        for summary in self.ask(&format!("closed({})", json!(at))).as_array().unwrap() {
            self.browser.click(summary.as_str().unwrap());
        }
    }

    /// Types a body into the section and saves it; gives the text of the file.
    pub(super) fn drop(&self, body: &Value) -> String {
        let holder = format!("{}//div[@data-body]", self.section);
        self.unfold(&holder);
        self.holder(&holder, body);
        let before = self.browser.saved();
        self.browser.click(&format!("{}//button[@data-finish='save']", self.section));
        let said = || self.browser.text(&format!("{}//em[@data-whole]", self.section));
        let new = self.browser.wait(&format!("a file that says {body}; said: {:?}", said()), |browser| {
            browser.saved().into_iter().find(|file| !before.contains(file))
        });
        fs::read_to_string(new).unwrap()
    }

    fn holder(&self, holder: &str, body: &Value) {
        self.choose_what_it_is_about(holder, body);
        let body = body.as_object().unwrap();
        let mut fields = self.fields(holder);
        if let Some(which) =
            fields.iter().find(|field| field["alternative"] == true && body.contains_key(text(field, "key")))
        {
            let option = format!("{holder}//select[@data-which]/option[@value='{}']", text(which, "key"));
            self.browser.click(&option);
            fields = self.fields(holder);
        }
        for field in fields.iter().filter(|field| field["shape"] != "looked" && field["shape"] != "entry") {
            match body.get(text(field, "key")) {
                Some(value) => self.field(field, value),
                None => self.clear(field),
            }
        }
    }

    /// What the form knows is chosen, with the code that stands beside it.
    fn choose_what_it_is_about(&self, holder: &str, body: &Value) {
        let fills = self.ask(&format!("fillsOf(at({}))", json!(holder)));
        let says = |fill: &&Value| {
            let mut values = fill["values"].as_object().unwrap().iter().filter(|(key, _)| *key != "evidence");
            values.all(|(key, value)| body[key] == *value)
        };
        if let Some(fill) = fills.as_array().unwrap().iter().find(says) {
            self.unfold(text(fill, "at"));
            self.browser.click(text(fill, "at"));
        }
    }

    /// What stayed from the set before and is not said now.
    fn clear(&self, field: &Value) {
        let is_free = field["fixed"] != true && !["unit", "evidence"].contains(&text(field, "key"));
        let is_typed = !text(field, "value").is_empty() && !text(field, "input").is_empty();
        let is_own = ["text", "long", "choice", "digits"].contains(&text(field, "shape"));
        if is_free && is_typed && is_own {
            self.unfold(text(field, "at"));
            match text(field, "kind") {
                "select" => self.browser.click(&format!("{}/option[@value='']", text(field, "input"))),
                _ => self.browser.clear(text(field, "input")),
            }
        }
    }

    fn field(&self, field: &Value, value: &Value) {
        let (at, input) = (text(field, "at"), text(field, "input"));
        // As it was when the page was read; what was chosen above it may have changed it.
        if field["fixed"] == true || (!input.is_empty() && self.shown(input) == plain(value)) {
            return;
        }
        self.unfold(at);
        match text(field, "shape") {
            "object" => self.holder(at, value),
            "list" => self.list(field, value.as_array().unwrap()),
            "picks" => self.picks(at, value.as_array().unwrap()),
            "grid" => value.as_array().unwrap().iter().for_each(|reading| self.place(at, reading)),
            "date" => self.date(input, value.as_str().unwrap()),
            "yesno" => self.choose(input, if *value == json!(true) { "yes" } else { "no" }),
            "digits" => self.write(input, &with_comma(&plain(value))),
            _ if field["kind"] == "select" => self.choose(input, &plain(value)),
            _ => self.write(input, &plain(value)),
        }
    }

    fn shown(&self, input: &str) -> String {
        self.browser.value(input)
    }

    fn write(&self, input: &str, words: &str) {
        self.browser.clear(input);
        let end = if words.contains('\n') { "" } else { TAB };
        self.browser.type_in(input, &format!("{words}{end}"));
    }

    /// A unit that is no length comes with the readings by itself.
    fn choose(&self, input: &str, value: &str) {
        let option = format!("{input}/option[@value='{value}']");
        if self.browser.count(&option) > 0 {
            self.browser.click(&option);
        }
    }

    /// In the order of the browser's language.
    fn date(&self, input: &str, day: &str) {
        let order = self
            .browser
            .run("return new Intl.DateTimeFormat().formatToParts().map((part) => part.type).join(' ')");
        let typed: String = order
            .as_str()
            .unwrap()
            .split(' ')
            .map(|part| match part {
                "year" => &day[..4],
                "month" => &day[5..7],
                "day" => &day[8..],
                _ => "",
            })
            .collect();
        self.browser.type_in(input, &typed);
        assert_eq!(self.shown(input), day);
    }

    /// Ticks these and no others; all with one button.
    fn picks(&self, at: &str, values: &[Value]) {
        let all = format!("{at}//button[normalize-space(.)='all']");
        if values == [json!("all")] && self.browser.count(&all) > 0 {
            self.browser.click(&all);
            return;
        }
        let boxes = self.ask(&format!("[...at({}).querySelectorAll('.boxes input')].map((box) => ({{ at: pathOf(box), value: box.value, checked: box.checked }}))", json!(at)));
        for one in boxes.as_array().unwrap() {
            let wanted =
                values == [json!("all")] || values.iter().any(|value| plain(value) == text(one, "value"));
            if wanted != (one["checked"] == true) {
                self.browser.click(text(one, "at"));
            }
        }
    }

    /// Rows that the form brought are found by what stands in them; others are added.
    fn list(&self, field: &Value, values: &[Value]) {
        let at = text(field, "at");
        let script = format!(
            "[...at({}).querySelectorAll(':scope > .items > div')].map((item) => ({{ at: pathOf(item), fields: fieldsOf(item) }}))",
            json!(at)
        );
        let rows = self.ask(&script).as_array().unwrap().clone();
        let fixed = |row: &Value| {
            row["fields"]
                .as_array()
                .unwrap()
                .iter()
                .filter(|field| field["fixed"] == true)
                .cloned()
                .collect::<Vec<_>>()
        };
        let mut free: Vec<String> =
            rows.iter().filter(|row| fixed(row).is_empty()).map(|row| text(row, "at").to_owned()).collect();
        free.reverse();
        for value in values {
            let its = rows.iter().find(|row| {
                let fixed = fixed(row);
                !fixed.is_empty()
                    && fixed.iter().all(|field| plain(&value[text(field, "key")]) == text(field, "value"))
            });
            let item =
                its.map(|row| text(row, "at").to_owned()).or_else(|| free.pop()).unwrap_or_else(|| {
                    self.browser.click(&format!("{at}/button[@data-add]"));
                    format!("{at}/div[contains(@class,'items')]/div[last()]")
                });
            self.holder(&item, value);
        }
    }

    fn place(&self, at: &str, reading: &Value) {
        let named = |key: &str| match text(reading, key) {
            "" => format!("not(@data-{key})"),
            name => format!("@data-{key}='{name}'"),
        };
        let cell = format!(
            "{at}//*[@data-feature='{}']//tr[{}]/td[{} and {}]/input",
            text(reading, "feature"),
            named("position"),
            named("station"),
            named("direction")
        );
        self.unfold(&cell);
        self.browser.type_in(&cell, &with_comma(text(reading, "value")));
    }
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or("")
}

/// As it is typed.
fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Array(lines) => lines.iter().map(plain).collect::<Vec<_>>().join("\n"),
        Value::Bool(yes) => (if *yes { "yes" } else { "no" }).to_owned(),
        Value::Null => String::new(),
        Value::Number(_) | Value::Object(_) => value.to_string(),
    }
}

fn with_comma(digits: &str) -> String {
    digits.replacen('.', ",", 1)
}
