//! Parts of a page as values: said once, shown as HTML and for a terminal.

use crate::pages::bolt_drawing::Drawing;
use maud::{Markup, html};

/// A headed part of a page.
#[derive(Clone, Debug, Default)]
pub(super) struct Section {
    /// Where a link leads.
    pub(super) anchor: &'static str,
    /// The heading.
    pub(super) title: &'static str,
    /// What is read at once.
    pub(super) blocks: Vec<Block>,
    /// What is long: folded away on a page, left out on a terminal unless all is asked for.
    pub(super) more: Vec<Block>,
}

/// A piece of a section.
#[derive(Clone, Debug)]
pub(super) enum Block {
    /// A sentence.
    Line(String),
    /// A sentence that people must see.
    Strong(String),
    /// A remark.
    Quiet(String),
    /// Rows under headings.
    Table(Table),
    /// The bolts of a joint with their order.
    Drawing(Drawing),
}

/// Rows under headings.
#[derive(Clone, Debug, Default)]
pub(super) struct Table {
    /// What it shows; may be empty.
    pub(super) title: String,
    /// The headings.
    pub(super) head: Vec<&'static str>,
    /// The rows, as many cells as headings.
    pub(super) rows: Vec<Vec<Cell>>,
}

/// A cell of a table.
#[derive(Clone, Debug, Default)]
pub(super) struct Cell {
    text: String,
    strong: bool,
    link: Option<String>,
}

impl Cell {
    /// A cell that people must see.
    pub(super) fn strong(text: impl Into<String>) -> Self {
        Self { text: text.into(), strong: true, link: None }
    }

    /// A cell that leads to another of our pages.
    pub(super) fn link(text: impl Into<String>, to: impl Into<String>) -> Self {
        Self { text: text.into(), strong: false, link: Some(to.into()) }
    }

    fn html(&self) -> Markup {
        let lines = html! {
            @for (index, line) in self.text.lines().enumerate() { @if index > 0 { br; } (line) }
        };
        html! {
            @if let Some(link) = &self.link { a href=(link) { (lines) } }
            @else if self.strong { strong.out { (lines) } }
            @else { (lines) }
        }
    }
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Self {
        Self { text: text.into(), strong: false, link: None }
    }
}

impl Table {
    /// A table without rows yet.
    pub(super) fn of(title: impl Into<String>, head: &[&'static str]) -> Self {
        Self { title: title.into(), head: head.to_vec(), rows: Vec::new() }
    }

    /// One more row.
    pub(super) fn row(&mut self, cells: Vec<Cell>) {
        self.rows.push(cells);
    }

    fn html(&self) -> Markup {
        html! {
            @if !self.title.is_empty() { h3 { (self.title) } }
            div.wide { table.rows {
                thead { tr { @for heading in &self.head { th { (heading) } } } }
                tbody { @for row in &self.rows { tr {
                    @for (index, cell) in row.iter().enumerate() { @if !cell.text.is_empty() || index == 0 { td {
                        @if index > 0 { @if let Some(heading) = self.head.get(index).filter(|heading| !heading.is_empty()) { span.label { (heading) ": " } } }
                        (cell.html())
                    } } @else { td.none {} } }
                } } }
            } }
        }
    }

    /// One line a row: the first cell, a colon, the second, then the others after their headings.
    fn text(&self, out: &mut String) {
        if !self.title.is_empty() {
            out.push_str(&format!("  {}\n", self.title));
        }
        let indent = if self.title.is_empty() { "  " } else { "    " };
        for row in &self.rows {
            out.push_str(indent);
            for (index, cell) in row.iter().enumerate().filter(|(_, cell)| !cell.text.is_empty()) {
                let text = cell.text.lines().collect::<Vec<_>>().join("; ");
                let heading = self.head.get(index).map(|heading| heading.to_lowercase()).unwrap_or_default();
                match index {
                    0 => out.push_str(&text),
                    1 => out.push_str(&format!(": {text}")),
                    _ => out.push_str(&format!("; {heading}: {text}")),
                }
            }
            out.push('\n');
        }
    }
}

impl Block {
    /// The piece as HTML.
    pub(super) fn html(&self) -> Markup {
        match self {
            Self::Line(text) => html! { p { (text) } },
            Self::Strong(text) => html! { p { strong.out { (text) } } },
            Self::Quiet(text) => html! { p.quiet { (text) } },
            Self::Table(table) => table.html(),
            Self::Drawing(drawing) => drawing.html(),
        }
    }

    fn text(&self, out: &mut String) {
        match self {
            Self::Line(text) | Self::Strong(text) | Self::Quiet(text) => {
                for line in text.lines() {
                    out.push_str(&format!("  {line}\n"));
                }
            }
            Self::Table(table) => table.text(out),
            Self::Drawing(drawing) => drawing.text(out),
        }
    }
}

impl Section {
    /// A section with nothing in it yet.
    pub(super) fn new(anchor: &'static str, title: &'static str) -> Self {
        Self { anchor, title, blocks: Vec::new(), more: Vec::new() }
    }

    /// Adds a table unless it is empty.
    pub(super) fn table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.blocks.push(Block::Table(table));
        }
    }

    /// Adds a table to what is folded away unless it is empty.
    pub(super) fn more_table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.more.push(Block::Table(table));
        }
    }

    /// Adds a sentence.
    pub(super) fn line(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Line(text.into()));
    }

    /// The section for a paper that stands on its own: nothing in it leads anywhere.
    pub(super) fn without_links(mut self) -> Self {
        for block in self.blocks.iter_mut().chain(&mut self.more) {
            if let Block::Table(table) = block {
                table.rows.iter_mut().flatten().for_each(|cell| cell.link = None);
            }
        }
        self
    }

    /// Nothing to say?
    pub(super) const fn is_empty(&self) -> bool {
        self.blocks.is_empty() && self.more.is_empty()
    }

    /// The section as HTML; nothing where there is nothing to say. On paper nothing is folded.
    pub(super) fn html(&self, folds: bool) -> Markup {
        html! { @if !self.is_empty() { section id=(self.anchor) {
            h2 { (self.title) }
            @for block in &self.blocks { (block.html()) }
            @if !self.more.is_empty() {
                @if folds { details { summary { "all of it" } @for block in &self.more { (block.html()) } } }
                @else { @for block in &self.more { (block.html()) } }
            }
        } } }
    }

    /// The section for a terminal.
    pub(super) fn text(&self, all: bool, out: &mut String) {
        if self.blocks.is_empty() && (!all || self.more.is_empty()) {
            return;
        }
        out.push_str(&format!("\n{}\n", self.title));
        let more = if all { self.more.as_slice() } else { &[] };
        self.blocks.iter().chain(more).for_each(|block| block.text(out));
    }
}
