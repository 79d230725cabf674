//! The price list of the demonstration's shop. Every price and every time in it is invented.

use serde_json::{Value, json};

/// Work by operation: price of a place, once, days.
const WORK: &[(&str, &str, &str, u32)] = &[
    ("bore and hone", "38.00", "40.00", 3),
    ("sleeve", "95.00", "30.00", 6),
    ("grind", "14.00", "45.00", 5),
    ("weld", "160.00", "60.00", 12),
    ("line hone", "25.00", "80.00", 5),
    ("line bore", "45.00", "120.00", 6),
    ("resize", "18.00", "20.00", 3),
    ("straighten", "60.00", "0.00", 3),
    ("skim", "85.00", "0.00", 2),
    ("deck", "120.00", "0.00", 3),
    ("crack test", "35.00", "0.00", 1),
    ("fit guide", "16.00", "15.00", 3),
];

/// Parts: price of one, days.
const PARTS: &[(&str, &str, u32)] = &[
    ("piston", "46.00", 4),
    ("ring set", "12.00", 4),
    ("main shell", "9.00", 2),
    ("rod shell", "7.50", 2),
    ("thrust bearing", "14.00", 2),
    ("cam bearing", "6.00", 2),
    ("valve stem seal", "1.20", 1),
    ("timing chain", "28.00", 2),
    ("camshaft sprocket", "24.00", 2),
    ("crankshaft sprocket", "18.00", 2),
    ("oil pump", "64.00", 3),
    ("pickup gasket", "2.50", 1),
    ("oil filter", "9.00", 1),
    ("gasket set", "72.00", 3),
    ("head gasket", "31.00", 3),
    ("front crank seal", "8.00", 1),
    ("rear crank seal", "12.00", 1),
    ("G03", "3.20", 2),
    ("G21", "1.10", 1),
    ("G02 connecting rods nuts", "1.60", 2),
    ("G04 camshaft gear bolt lock washer", "0.90", 2),
    ("G14 exhaust manifold nuts", "0.70", 1),
    ("G22 spark plugs 14 mm", "4.80", 1),
    ("G24 oil drain plug washer", "0.40", 1),
    ("crankshaft", "940.00", 20),
    ("block", "1850.00", 30),
    ("head", "1100.00", 25),
    ("rod", "88.00", 10),
    ("camshaft", "210.00", 10),
    ("belt", "34.00", 3),
    ("tensioner", "58.00", 3),
    ("water pump", "75.00", 3),
    ("injector", "145.00", 7),
    ("head bolts", "3.40", 2),
    ("rods bolts", "4.10", 2),
    ("crank pulley bolts", "5.20", 2),
    ("core plugs", "1.10", 2),
    ("thrust washer", "9.00", 2),
    ("pin clip", "0.60", 2),
    ("nozzle washer", "0.80", 2),
    ("cam seal", "7.00", 2),
    ("piston pin", "11.00", 4),
    ("intake valve", "15.00", 5),
    ("exhaust valve", "19.00", 5),
    ("valve spring", "6.50", 5),
    ("lifter", "9.50", 5),
];

/// The list as a drop's body.
pub(super) fn list() -> Value {
    let work = WORK.iter().map(
        |(operation, price, once, days)| json!({"operation": operation, "price": price, "once": once, "days": days}),
    );
    let parts = PARTS.iter().map(
        |(part, price, days)| json!({"part": part, "price": price, "days": days, "supplier": "Halden Parts"}),
    );
    // What can be done about a cracked head, by a specialist.
    let head = json!({"operation": "weld", "feature": "head", "price": "480.00", "days": 9});
    let (work, parts) = (work.chain([head]).collect::<Vec<Value>>(), parts.collect::<Vec<Value>>());
    json!({"revision": 1, "currency": "EUR", "hour": "65.00", "operations": work, "parts": parts,
        "labour": [{"what": "teardown, cleaning and measuring", "hours": "9.5"},
            {"what": "assembly and first start", "scope": "complete", "hours": "14"}]})
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]
mod tests {
    use super::super::scenario::{KD3, OV24};
    use super::PARTS;
    use serde_json::Value;

    /// Whatever a sheet of the demonstration says is always new can be priced, so that no plan shows a gap in its money.
    #[test]
    fn what_is_always_new_has_a_price() {
        let rows = |of: &Value, name: &str| of[name].as_array().cloned().unwrap_or_default();
        let is = |of: &Value, name: &str| of[name].as_bool().unwrap_or(false);
        for sheet in [OV24, KD3] {
            let text: Value = serde_json::from_str(sheet).unwrap();
            let body = &text["body"];
            let mut asked: Vec<String> = rows(body, "parts")
                .iter()
                .filter(|part| is(part, "renewed"))
                .map(|part| part["part"].as_str().unwrap().to_owned())
                .collect();
            for group in rows(body, "fasteners").iter().chain(&rows(body, "plugs")) {
                let (key, name) = (group["group"].as_str().unwrap(), group["name"].as_str().unwrap());
                let new = rows(group, "always-new");
                asked.extend(new.iter().map(|new| format!("{key} {name} {}", new["what"].as_str().unwrap())));
                if is(group, "single-use") {
                    asked.push(format!("{key} bolts"));
                }
                if is(group, "renewed") {
                    asked.push(key.to_owned());
                }
            }
            let has = |item: &String| {
                let of_group = item.strip_suffix(" bolts").unwrap_or(item);
                PARTS.iter().any(|(part, ..)| {
                    part.eq_ignore_ascii_case(item) || (part.starts_with('G') && *part == of_group)
                })
            };
            let none: Vec<&String> = asked.iter().filter(|item| !has(item)).collect();
            assert!(none.is_empty(), "{none:?}");
        }
    }
}
