//! Tables to be filled in: what of one engine is to be measured, place by place, and the other kinds with their words.
//!
//! What the sheet and the job know stands in them already. A row whose last columns stay empty says nothing, so a form
//! can be handed in half filled; columns that begin with `#` are for people.

use crate::facts::{SheetList, TableSheet, empty_sheet};
use crate::judgement::words;
use crate::metrology::Unit;
use crate::pages::JobView;
use crate::sheets::{Asked, Feature, Part, Row, Sheet};
use crate::shop::{Job, Place, Surface, SurfaceKey};
use crate::stages::Stage;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What a form is asked for.
#[derive(Clone, Copy, Debug)]
pub struct FormAsked<'a> {
    /// The kind of drop it becomes.
    pub kind: &'a str,
    /// Only this feature, as typed.
    pub feature: Option<&'a str>,
    /// When the form is made, with its offset: stands in it until the person writes when it was recorded.
    pub recorded: &'a str,
}

/// The form as a table.
///
/// # Errors
/// In words: the job has no sheet yet, or nothing on it is called so.
pub fn table_form(view: &JobView, asked: &FormAsked<'_>) -> Result<TableSheet, String> {
    let mut table = empty_sheet(asked.kind)
        .ok_or_else(|| format!("there is no kind of drop called {:?}; see schemas/", asked.kind))?;
    let known = [("job", view.job.written.as_str()), ("recorded", asked.recorded)];
    for (key, value, remark) in &mut table.heads {
        if let Some((_, known)) = known.iter().find(|(name, _)| name == key) {
            value.push_str(known);
        }
        if key == "recorded" {
            remark.insert_str(0, "write when it was recorded; this is when the form was made. ");
        }
    }
    table
        .remarks
        .push("Fill in the empty cells and drop the file. Rows left as they are say nothing.".to_owned());
    let sheet = view.job.sheet.as_ref();
    if asked.kind == "measurements" {
        let sheet = sheet.ok_or("this job has no sheet yet: drop its check-in and the sheet first")?;
        measuring(view, sheet, asked, &mut table)?;
    } else if let Some(sheet) = sheet {
        for list in &mut table.lists {
            prepare(list, sheet, &view.job);
        }
    }
    Ok(table)
}

/// Head rows that are known for readings.
fn measuring(
    view: &JobView,
    sheet: &Sheet,
    asked: &FormAsked<'_>,
    table: &mut TableSheet,
) -> Result<(), String> {
    let job = &view.job;
    let one = match asked.feature {
        None => None,
        Some(written) => Some(sheet.feature(written).map(|(index, _)| index).ok_or_else(|| {
            let known: Vec<&str> = sheet.features.iter().map(|feature| feature.key.as_str()).collect();
            format!("the sheet has no feature {written:?}; it has {}", known.join(", "))
        })?),
    };
    let wanted: Vec<(usize, &Feature)> = sheet
        .features
        .iter()
        .enumerate()
        .filter(|(index, feature)| one.map_or_else(|| came(job, *index, feature), |one| one == *index))
        .collect();
    // One drop has one unit; what is measured in another goes on a form of its own.
    let unit = wanted.first().filter(|_| one.is_some()).map_or(sheet.unit, |(_, feature)| feature.unit);
    let (here, other): (Vec<_>, Vec<_>) = wanted.into_iter().partition(|(_, feature)| feature.unit == unit);
    if !other.is_empty() {
        let other: Vec<String> =
            other.iter().map(|(_, f)| format!("{} in {}", f.key, f.unit.symbol())).collect();
        table
            .remarks
            .push(format!("In other units, with a form of their own (--feature): {}.", other.join(", ")));
    }
    for (key, value, _) in &mut table.heads {
        match key.as_str() {
            "unit" => value.push_str(unit.symbol()),
            "condition" => value.push_str(condition(view.standing.stage)),
            _ => {}
        }
    }
    // The form is of an engine, and a study is of none.
    table.heads.retain(|(key, _, _)| key != "setting" && key != "study");
    // A gap may be read between two blades instead.
    let has_gaps =
        here.iter().any(|(_, feature)| feature.rows.iter().any(|row| row.characteristic.is_a_gap()));
    let blades: &[&str] = if has_gaps { &["blades.goes-in", "blades.not-in"] } else { &[] };
    let columns = [
        &["feature", "position", "station", "direction", "value", "value 2", "value 3"],
        blades,
        &["# state", "# limits"],
    ]
    .concat();
    table.lists = vec![SheetList {
        name: "readings".to_owned(),
        columns: columns.iter().map(|name| (*name).to_owned()).collect(),
        rows: here.iter().flat_map(|(index, feature)| places(view, *index, feature, blades.len())).collect(),
    }];
    Ok(())
}

/// In which condition the next readings will mostly be; the person changes it where they are not.
fn condition(stage: Stage) -> &'static str {
    match stage {
        Stage::CheckedIn | Stage::Teardown | Stage::Inspection => "as received",
        Stage::Machining => "after work",
        Stage::Reassembly | Stage::Released => "at assembly",
    }
}

/// Is the feature asked for in what came, or measured or worked on all the same? What any scope asks after work is
/// asked only of what is worked on.
fn came(job: &Job, index: usize, feature: &Feature) -> bool {
    let is_named = |scopes: &[String]| !scopes.is_empty() && job.concerns(scopes);
    let is_asked = |(condition, scopes): &(Asked, Vec<String>)| match condition {
        Asked::AfterWork => is_named(scopes),
        Asked::AsReceived | Asked::AtAssembly => job.concerns(scopes),
    };
    let is_touched =
        |(key, surface): (&SurfaceKey, &Surface)| key.feature == index && !surface.sets.is_empty();
    feature.rows.is_empty()
        || feature.rows.iter().any(|row| row.asked.iter().any(is_asked))
        || job.surfaces.iter().any(is_touched)
        || job.agreed.keys().any(|key| key.feature == index)
}

/// Every place of a feature, one a row, with room for three values and so many blades.
fn places(view: &JobView, index: usize, feature: &Feature, blades: usize) -> Vec<Vec<String>> {
    let limits = feature.rows.first().map_or_else(String::new, |row| limit_words(row, row.unit));
    let missing = missing(view, index);
    let mut rows = Vec::new();
    for (position, name) in feature.positions.iter().enumerate() {
        let key = SurfaceKey { feature: index, position };
        for station in 0..(feature.stations.len() + feature.unworn.len()).max(1) {
            for direction in 0..feature.directions.len().max(1) {
                let place = Place { station, direction };
                let is_missing =
                    missing.get(&position).is_some_and(|places| places.contains(&place.name(feature)));
                let state = if is_missing { "missing".to_owned() } else { latest(&view.job, key, place) };
                let direction = feature.directions.get(direction).cloned().unwrap_or_default();
                let station = feature.station_name(station).to_owned();
                let mut row = vec![feature.key.clone(), name.clone(), station, direction];
                row.resize(row.len() + 3 + blades, String::new());
                row.extend([state, limits.clone()]);
                rows.push(row);
            }
        }
    }
    rows
}

/// Names of the places that verdicts miss, by position.
fn missing(view: &JobView, feature: usize) -> BTreeMap<usize, Vec<String>> {
    let mut by_position: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for verdict in view.judgement.standing().filter(|verdict| verdict.key.surface.feature == feature) {
        by_position.entry(verdict.key.surface.position).or_default().extend(verdict.missing.iter().cloned());
    }
    by_position
}

/// What was read there last, for people.
fn latest(job: &Job, key: SurfaceKey, place: Place) -> String {
    let sets = job.surfaces.get(&key).map(|surface| &surface.sets);
    let read = sets.into_iter().flatten().rev().find_map(|(set, found)| {
        let reading = found.readings.get(&place)?.last()?;
        Some(format!("{} {}", reading.digits, set.condition.word()))
    });
    read.unwrap_or_default()
}

fn limit_words(row: &Row, unit: Unit) -> String {
    let column = |name: &str, limits: &Option<crate::sheets::Limits>| {
        limits.as_ref().map(|limits| format!("{name} {}", words::limits(limits, unit)))
    };
    let columns =
        [column("new", &row.new), column("service", &row.service), column("after work", &row.after_work)];
    columns.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// Rows that the sheet knows. Only lists that ask for more than a name are prepared: a row that is all name would be
/// taken as said.
fn prepare(list: &mut SheetList, sheet: &Sheet, job: &Job) {
    let rows: Vec<BTreeMap<&str, String>> = match list.name.as_str() {
        "findings" => of_parts(sheet, job, |part| part.look || part.crack_test || part.pressure_test),
        "fitted" => of_parts(sheet, job, |part| part.fitted || part.renewed),
        "torque" => sheet
            .fasteners
            .iter()
            .filter(|group| job.concerns(&group.scopes))
            .map(|group| BTreeMap::from([("group", group.group.clone()), ("# what", group.name.clone())]))
            .collect(),
        "checks" => sheet
            .checks
            .iter()
            .filter(|check| job.concerns(&check.scopes))
            .map(|check| BTreeMap::from([("check", check.key.clone()), ("# what", check.words.clone())]))
            .collect(),
        _ => return,
    };
    if rows.iter().any(|row| row.contains_key("# what")) {
        list.columns.push("# what".to_owned());
    }
    // What names the row comes first.
    let known = |column: &String| rows.iter().any(|row| row.contains_key(column.as_str()));
    list.columns.sort_by_key(|column| (column.starts_with('#'), !known(column)));
    let cell =
        |row: &BTreeMap<&str, String>, column: &String| row.get(column.as_str()).cloned().unwrap_or_default();
    list.rows =
        rows.iter().map(|row| list.columns.iter().map(|column| cell(row, column)).collect()).collect();
}

fn of_parts<'a>(
    sheet: &'a Sheet,
    job: &Job,
    which: impl Fn(&Part) -> bool,
) -> Vec<BTreeMap<&'a str, String>> {
    let mut rows = Vec::new();
    for part in sheet.parts.iter().filter(|part| which(part) && job.concerns(&part.scopes)) {
        let one =
            |position: &str| BTreeMap::from([("part", part.key.clone()), ("positions", position.to_owned())]);
        if part.positions.is_empty() {
            rows.push(one(""));
        }
        rows.extend(part.positions.iter().map(|position| one(position)));
    }
    rows
}

/// The same form for programs: `{"kind", "heads": [{"key", "value", "wanted"}], "lists": [{"list", "rows": [{column:
/// cell}]}]}`.
#[must_use]
pub fn form_json(kind: &str, table: &TableSheet) -> Value {
    let list = |list: &SheetList| {
        let row = |row: &Vec<String>| -> Value {
            list.columns
                .iter()
                .zip(row)
                .map(|(column, cell)| (column.clone(), Value::from(cell.as_str())))
                .collect()
        };
        json!({"list": list.name, "columns": list.columns, "rows": list.rows.iter().map(row).collect::<Vec<_>>()})
    };
    json!({
        "kind": kind,
        "heads": table.heads.iter().map(|(key, value, wanted)| json!({"key": key, "value": value, "wanted": wanted})).collect::<Vec<_>>(),
        "lists": table.lists.iter().map(list).collect::<Vec<_>>(),
    })
}
