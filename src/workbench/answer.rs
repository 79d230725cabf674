//! An answer and its two printed forms: lines of at most 79 characters, and JSON.

use serde_json::{Value, json};

/// Columns of a terminal that every line fits into.
const WIDTH: usize = 79;

/// One result: what it is, and its value in one or more units.
#[derive(Clone, Debug)]
pub struct Line {
    /// What it is.
    pub name: String,
    /// Digits and unit, the first as asked, then as others write it.
    pub values: Vec<(String, &'static str)>,
}

/// What was asked, what comes out, and how.
#[derive(Clone, Debug, Default)]
pub struct Answer {
    /// The question with its main result, on one line.
    pub title: String,
    /// The results.
    pub results: Vec<Line>,
    /// The formulae in letters.
    pub formula: Vec<String>,
    /// The same with the numbers put in, in order.
    pub steps: Vec<String>,
    /// Where formulae and tables are from, and how we know them.
    pub source: Vec<String>,
    /// What the answer does not see.
    pub notes: Vec<String>,
    /// What to take care of before anybody acts on it.
    pub cautions: Vec<String>,
}

impl Answer {
    /// One more result.
    pub fn result(&mut self, name: impl Into<String>, values: Vec<(String, &'static str)>) {
        self.results.push(Line { name: name.into(), values });
    }

    /// One more step.
    pub fn step(&mut self, words: impl Into<String>) {
        self.steps.push(words.into());
    }

    /// For a terminal of 80 columns.
    #[must_use]
    pub fn text(&self) -> String {
        let mut text = wrapped("", &self.title) + "\n";
        text.push_str(&self.table());
        let numbered: Vec<String> =
            self.steps.iter().enumerate().map(|(at, step)| format!("{}. {step}", at + 1)).collect();
        for (heading, lines) in [
            ("Formula", &self.formula),
            ("Steps", &numbered),
            ("Source", &self.source),
            ("What it does not see", &self.notes),
            ("Take care", &self.cautions),
        ] {
            if !lines.is_empty() {
                text.push_str(&format!("\n{heading}\n"));
                lines.iter().for_each(|line| text.push_str(&wrapped("  ", line)));
            }
        }
        text
    }

    /// Names to the left, digits to the right, a column a unit.
    fn table(&self) -> String {
        let wide = |length: &dyn Fn(&Line) -> usize| self.results.iter().map(length).max().unwrap_or(0);
        let columns = wide(&|line| line.values.len());
        let at = |line: &Line, column: usize| line.values.get(column).cloned().unwrap_or_default();
        let name = wide(&|line| line.name.chars().count());
        let widths: Vec<(usize, usize)> = (0..columns)
            .map(|column| (wide(&|line| at(line, column).0.len()), wide(&|line| at(line, column).1.len())))
            .collect();
        let row = |line: &Line| {
            let mut row = format!("  {:name$}", line.name);
            for (column, (digits, unit)) in widths.iter().enumerate() {
                let (value, symbol) = at(line, column);
                row.push_str(&format!("  {value:>digits$} {symbol:unit$}"));
            }
            row.trim_end().to_owned() + "\n"
        };
        self.results.iter().map(row).collect()
    }

    /// For programs. Digits are strings, as everywhere in our JSON.
    #[must_use]
    pub fn json(&self) -> Value {
        let value = |(digits, unit): &(String, &str)| json!({"value": digits, "unit": unit});
        let line = |line: &Line| json!({"name": line.name, "values": line.values.iter().map(value).collect::<Vec<_>>()});
        json!({
            "answer": self.title, "results": self.results.iter().map(line).collect::<Vec<_>>(),
            "formula": self.formula, "steps": self.steps, "source": self.source, "notes": self.notes,
            "cautions": self.cautions,
        })
    }
}

/// Words in lines that fit; further lines stand two columns in.
pub(super) fn wrapped(indent: &str, words: &str) -> String {
    let (mut text, mut line) = (String::new(), indent.to_owned());
    for word in words.split(' ') {
        if line.chars().count() + word.chars().count() + 1 > WIDTH && !line.trim().is_empty() {
            text.push_str(&format!("{line}\n"));
            line = format!("{indent}  {word}");
        } else if line.trim().is_empty() {
            line.push_str(word);
        } else {
            line.push_str(&format!(" {word}"));
        }
    }
    text + &line + "\n"
}
