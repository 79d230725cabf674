//! What head rows and columns a kind's tables have, read off its schema.

use serde_json::Value;
use std::collections::BTreeMap;

/// A place in the document and what the schema says of it.
#[derive(Clone)]
pub(super) struct Key {
    /// Keys from the top of the document, or from the item of a list.
    pub(super) path: Vec<&'static str>,
    pub(super) schema: &'static Value,
}

/// Keys by the name they have in a table, lower case.
pub(super) type Keys = BTreeMap<String, Key>;

/// A list whose items are the rows of a table.
pub(super) struct List {
    /// Its name: `readings`, `out.parts`.
    pub(super) name: String,
    /// Keys from the top of the document.
    pub(super) path: Vec<&'static str>,
    pub(super) columns: Keys,
}

/// The tables of one kind.
#[derive(Default)]
pub(super) struct Layout {
    pub(super) heads: Keys,
    pub(super) lists: Vec<List>,
    /// Lists without which there is no drop of this kind.
    pub(super) required: Vec<String>,
}

impl Layout {
    /// From the schema of a kind.
    pub(super) fn of(schema: &'static Value) -> Self {
        let mut layout = Self::default();
        let body = schema.pointer("/properties/body").unwrap_or(&Value::Null);
        layout.walk(body, &["body"]);
        for (name, child) in properties(schema).filter(|(name, _)| *name != "body") {
            layout.heads.insert(name.to_lowercase(), Key { path: vec![name], schema: child });
        }
        let required = body.get("required").and_then(Value::as_array).into_iter().flatten();
        let required = required.filter_map(Value::as_str).map(str::to_owned);
        layout.required =
            required.filter(|name| layout.lists.iter().any(|list| list.name == *name)).collect();
        layout
    }

    fn walk(&mut self, node: &'static Value, path: &[&'static str]) {
        for (name, child) in properties(node) {
            let path = [path, &[name]].concat();
            // Named without the word "body".
            let key = path.get(1..).unwrap_or_default().join(".").to_lowercase();
            if has_properties(child) {
                self.walk(child, &path);
            } else if let Some(items) = child.get("items").filter(|items| has_properties(items)) {
                let mut columns = Keys::new();
                leaves(items, &[], &mut columns);
                self.lists.push(List { name: key, path, columns });
            } else {
                self.heads.insert(key, Key { path, schema: child });
            }
        }
    }

    /// The list whose items these column names belong to; several when they cannot be told apart.
    pub(super) fn lists_of(&self, names: &[String], heads_used: &[&str]) -> Vec<&List> {
        let known = |list: &List| names.iter().filter(|name| list.column(name).is_some()).count();
        let most = self.lists.iter().map(known).max().filter(|most| *most > 0);
        let fitting: Vec<&List> = self.lists.iter().filter(|list| Some(known(list)) == most).collect();
        // `out.parts` and `back.parts` look alike; the head rows say which of them is meant.
        let meant: Vec<&List> = fitting.iter().copied().filter(|list| list.is_beside(heads_used)).collect();
        if meant.is_empty() { fitting } else { meant }
    }
}

impl List {
    /// The column of this name, its second and later repeats too: `value 2`.
    pub(super) fn column(&self, name: &str) -> Option<(&Key, usize)> {
        if let Some(key) = find(&self.columns, name) {
            return Some((key, 1));
        }
        let (name, number) = name.rsplit_once(' ')?;
        let number = number.parse().ok().filter(|n| (2..=9).contains(n))?;
        find(&self.columns, name).map(|key| (key, number))
    }

    fn is_beside(&self, heads_used: &[&str]) -> bool {
        let parent = self.name.rsplit_once('.').map(|(parent, _)| format!("{parent}."));
        parent.is_some_and(|parent| heads_used.iter().any(|head| head.starts_with(&parent)))
    }
}

/// The key of this name: a space may stand for a hyphen, and one position goes where several could.
pub(super) fn find<'a>(keys: &'a Keys, name: &str) -> Option<&'a Key> {
    let hyphened = name.replace(' ', "-");
    keys.get(name).or_else(|| keys.get(&hyphened)).or_else(|| keys.get(&format!("{name}s")))
}

fn leaves(node: &'static Value, path: &[&'static str], columns: &mut Keys) {
    for (name, child) in properties(node) {
        let path = [path, &[name]].concat();
        if has_properties(child) {
            leaves(child, &path, columns);
        } else if child.get("items").is_none_or(|items| !has_properties(items)) {
            columns.insert(path.join(".").to_lowercase(), Key { path, schema: child });
        }
    }
}

fn properties(node: &'static Value) -> impl Iterator<Item = (&'static str, &'static Value)> {
    let found = node.get("properties").and_then(Value::as_object);
    found.into_iter().flatten().map(|(name, child)| (name.as_str(), child))
}

fn has_properties(node: &Value) -> bool {
    node.get("properties").is_some()
}
