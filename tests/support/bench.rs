//! A bench form in a browser, filled in as a person does: sections are opened, fields typed and chosen, and what is
//! saved is read back from the folder of downloads.
#![allow(unreachable_pub, reason = "as the other supports")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use crate::browser::{Browser, TAB};
use crate::support::*;
use crate::temp_shop::TempShop;
use benchdrop::facts::{Body, JobKey, decode};
use serde_json::{Value, json};
use std::fs;
use std::path::PathBuf;

/// The shop of the scenario with one fastener group, one group of plugs and two checks of its own.
pub fn drops() -> Vec<Value> {
    let mut drops = shop_with_engine();
    let sheet = drops.iter_mut().find(|drop| drop["kind"] == "sheet").unwrap();
    sheet["body"]["fasteners"] = json!([{
        "group": "T01", "name": "Main caps", "sizes": [
            {"size": "1/2-13 x 3.75", "count": 8}, {"size": "1/2-13 x 4.25", "count": 2}
        ], "grade": "8", "lubricant": "oil", "torque-unit": "lbf ft", "stages": ["30", "60", "80"],
        "pattern-source": "sheet"
    }]);
    for part in sheet["body"]["parts"].as_array_mut().unwrap() {
        part["strip"] = true.into();
        part["scopes"] = json!([]);
    }
    sheet["body"]["plugs"] =
        json!([{"group": "P01", "name": "Gallery plugs", "sizes": [{"size": "1/4 NPT", "count": 6}]}]);
    sheet["body"].as_object_mut().unwrap().remove("pins");
    sheet["body"]["checks"] = json!([
        {"check": "arrows", "stage": "reassembly", "by": "bench", "words": "caps by number, arrows to the front"},
        {"check": "chain", "stage": "reassembly", "by": "checker", "words": "chain marks in line"},
    ]);
    drops.push(shop_drop(
        "people",
        0,
        json!({"revision": 1, "people": [{"name": "Lene Marsh", "initials": "LM", "roles": ["bench"]}]}),
    ));
    // Swapped digits: main journal 4 front X is asked about.
    drops.push(measured(
        20,
        "as received",
        "MIC",
        vec![reading("main journal", "4", "front", "X", "2.4288")],
    ));
    drops.push(measured(
        21,
        "as received",
        "MIC",
        vec![reading("main journal", "5", "front", "X", "2.2488")],
    ));
    drops.push(drop_at(
        "hardware",
        22,
        json!({"group": "T01", "state": "bagged", "pieces": [{"size": "1/2-13 x 4.25", "count": 2}]}),
    ));
    drops.push(seized());
    drops
}

/// A problem that is open.
pub fn seized() -> Value {
    let seen = json!({"part": "rod", "positions": ["1"], "defect": "seized", "severity": 3, "problem": "rod bolt will not move"});
    drop_at("finding", 23, json!({"findings": [seen]}))
}

/// A form that is open in a browser.
pub struct Bench {
    pub browser: Browser,
    pub shop: TempShop,
    pub page: PathBuf,
}

impl Bench {
    /// The form of the scenario's engine, opened from the board's folder.
    pub fn of_job() -> Self {
        Self::after(&[])
    }

    /// The same after more was dropped.
    pub fn after(more: &[Value]) -> Self {
        Self::opened(&with(&drops(), more), &format!("{}.html", JobKey::of(JOB, SITE).unwrap().slug()))
    }

    /// One of the forms, with somebody's initials in it.
    pub fn open(name: &str) -> Self {
        Self::opened(&drops(), name)
    }

    fn opened(drops: &[Value], name: &str) -> Self {
        let mut shop = TempShop::new();
        shop.take(drops);
        let page = shop.path("watch-folder/board/forms").join(name);
        let browser = Browser::start(1200, 900);
        browser.open(&page);
        browser.type_in("//input[@id='who']", "LM");
        Self { browser, shop, page }
    }

    pub fn section(&self, kind: &str) -> Section<'_> {
        let summary = format!("//details[@id='{kind}']/summary");
        self.browser.click(&summary);
        Section { browser: &self.browser, kind: kind.to_owned() }
    }
}

/// One open section.
pub struct Section<'a> {
    browser: &'a Browser,
    kind: String,
}

impl Section<'_> {
    /// `findings[2]/part`: the field `part` in the second row of `findings`.
    pub fn at(&self, path: &str) -> String {
        let mut xpath = format!("//details[@id='{}']//div[@data-body]", self.kind);
        for step in path.split('/').filter(|step| !step.is_empty()) {
            match step.split_once('[') {
                Some((key, row)) => {
                    let row = row.trim_end_matches(']');
                    xpath += &format!(
                        "//*[@data-key='{key}'][@data-shape='list']/div[contains(@class,'items')]/div[{row}]"
                    );
                }
                // Outside of rows: a row may have a field of the same name.
                None if !xpath.contains("'items'") => {
                    xpath += &format!(
                        "//*[@data-key='{step}'][not(@data-shape='looked')]\
                         [not(ancestor::div[contains(@class,'items')])]"
                    );
                }
                None => xpath += &format!("//*[@data-key='{step}'][not(@data-shape='looked')]"),
            }
        }
        xpath
    }

    fn input(&self, path: &str) -> String {
        format!("{}//*[self::input or self::select or self::textarea]", self.at(path))
    }

    /// Types into a field and goes on to the next.
    pub fn write(&self, path: &str, text: &str) -> &Self {
        self.browser.type_in(&self.input(path), &format!("{text}{TAB}"));
        self
    }

    pub fn shown(&self, path: &str) -> String {
        self.browser.value(&self.input(path))
    }

    /// Chooses by the words that are read.
    pub fn choose(&self, path: &str, words: &str) -> &Self {
        self.browser.click(&format!("{}//option[starts-with(normalize-space(.),'{words}')]", self.at(path)));
        self
    }

    /// Chooses which of several this is, or what it is about: a choice that is no field of the drop.
    pub fn pick(&self, path: &str, which: &str, words: &str) -> &Self {
        let select = format!("{}//select[@{which}]", self.at(path));
        self.browser.click(&format!("{select}/option[contains(normalize-space(.),'{words}')]"));
        self
    }

    /// Ticks one of several.
    pub fn tick(&self, path: &str, words: &str) -> &Self {
        self.browser.click(&format!("{}//label[normalize-space(.)='{words}']/input", self.at(path)));
        self
    }

    pub fn tick_looked_at(&self, part: &str) -> &Self {
        let boxes = format!("//details[@id='{}']//*[@data-shape='looked']", self.kind);
        self.browser.click(&format!("{boxes}//label[normalize-space(.)='{part}']/input"));
        self
    }

    pub fn press(&self, path: &str, button: &str) -> &Self {
        self.browser.click(&format!("{}//button[normalize-space(.)='{button}']", self.at(path)));
        self
    }

    /// Opens what is folded away in a section.
    pub fn unfold(&self, words: &str) -> &Self {
        self.browser.click(&format!("{}//summary[contains(.,'{words}')]", self.at("")));
        self
    }

    /// The field of one place.
    pub fn place(&self, place: &str) -> String {
        format!("{}//input[@aria-label='{place}']", self.at(""))
    }

    pub fn measure(&self, place: &str, digits: &str) -> &Self {
        self.browser.type_in(&self.place(place), &format!("{digits}{TAB}"));
        self
    }

    /// What is said beside the field of a place, wrong or known.
    pub fn beside_place(&self, place: &str, what: &str) -> String {
        self.browser.text(&format!("{}/../{what}", self.place(place)))
    }

    /// What is said beside a field.
    pub fn said(&self, path: &str) -> String {
        self.browser.text(&format!("{}/em", self.at(path)))
    }

    /// What is said under the section.
    pub fn said_in_all(&self) -> String {
        self.browser.text(&format!("//details[@id='{}']//em[@data-whole]", self.kind))
    }

    pub fn press_save(&self) {
        self.browser.click(&format!("//details[@id='{}']//button[@data-finish='save']", self.kind));
    }

    /// Saves, and reads the one new file.
    pub fn save(&self) -> Saved {
        let before = self.browser.saved();
        self.press_save();
        let new = self.browser.wait(&format!("a saved file; said: {:?}", self.said_in_all()), |browser| {
            browser.saved().into_iter().find(|file| !before.contains(file))
        });
        Saved {
            name: new.file_name().unwrap().to_str().unwrap().to_owned(),
            text: fs::read_to_string(new).unwrap(),
        }
    }
}

/// A file that was saved.
pub struct Saved {
    pub name: String,
    pub text: String,
}

impl Saved {
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.text).unwrap()
    }

    /// The door takes it, and it says this.
    pub fn says(&self, kind: &str, body: &Value) -> Body {
        let fact = decode(self.text.as_bytes(), SITE).unwrap_or_else(|why| panic!("{why:?}\n{}", self.text));
        let drop = self.json();
        assert_eq!((&drop["kind"], &drop["who"]), (&json!(kind), &json!("LM")));
        assert_eq!(&drop["body"], body, "{}", self.text);
        fact.body
    }

    /// The door takes it as this kind.
    pub fn says_kind(&self, kind: &str) -> Body {
        self.says(kind, &self.json()["body"])
    }
}
