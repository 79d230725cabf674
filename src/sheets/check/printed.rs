//! The other unit: what a sheet prints beside its own is its own, converted and rounded to the digits printed.

use crate::metrology::{Exact, Length, Unit};
use crate::sheets::Sheet;
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::hardware::TorqueUnit;
use crate::sheets::limits::Limits;
use crate::sheets::row::{Printed, Row};

/// One figure printed in another unit than the sheet's.
#[derive(Clone, Debug)]
pub struct Conversion {
    /// Where: `row 13 new min`, `fasteners G01 stage 1`.
    pub at: String,
    /// As printed, with its unit.
    pub printed: String,
    /// The sheet's own figure, with its unit; `nothing` where the sheet has none there.
    pub own: String,
    /// The one is the other, rounded to the digits printed.
    pub holds: bool,
}

/// Every figure that is printed in another unit.
#[must_use]
pub fn conversions(sheet: &Sheet) -> Vec<Conversion> {
    let rows = sheet.features.iter().flat_map(|f| &f.rows).chain(sheet.pairs.iter().map(|p| &p.row));
    rows.flat_map(|row| of_row(row, sheet.unit)).chain(of_torques(sheet)).collect()
}

pub(super) fn check(sheet: &Sheet, faults: &mut Faults) {
    for found in conversions(sheet).into_iter().filter(|c| !c.holds) {
        faults.push(Fault::new(found.at, found.printed, format!("{}, converted", found.own)));
    }
    let rows = sheet.features.iter().flat_map(|f| &f.rows);
    for row in rows.filter(|row| !percentage_holds(row, sheet.unit)) {
        let found = row.service.and_then(|s| s.min).map_or_else(|| "none".to_owned(), |m| m.show(sheet.unit));
        let expected = format!("{} percent of the nominal value", row.service_percent.unwrap_or(0));
        faults.push(Fault::new(format!("row {}", row.number), format!("service min {found}"), expected));
    }
}

fn of_row(row: &Row, own: Unit) -> Vec<Conversion> {
    let other = if own == Unit::Inch { Unit::Millimetre } else { Unit::Inch };
    let mut found = Vec::new();
    let mut one = |what: String, printed: &Option<String>, value: Option<Exact>| {
        let Some(printed) = printed else { return };
        found.push(Conversion {
            at: format!("row {} {what}", row.number),
            printed: format!("{printed} {}", other.symbol()),
            own: value.map_or_else(|| "nothing".to_owned(), |v| format!("{} {}", v.show(own), own.symbol())),
            holds: value.is_some_and(|value| rounds_to(value, printed, other)),
        });
    };
    one("nominal".to_owned(), &row.other_unit.nominal, row.nominal);
    let columns: [(&str, &Printed, Option<Limits>); 3] = [
        ("new", &row.other_unit.new, row.new),
        ("service", &row.other_unit.service, row.service),
        ("after work", &row.other_unit.after_work, row.after_work),
    ];
    for (name, printed, limits) in columns {
        one(format!("{name} min"), &printed.min, limits.and_then(|l| l.min));
        one(format!("{name} max"), &printed.max, limits.and_then(|l| l.max));
    }
    found
}

/// Within half of the last digit printed, exactly.
fn rounds_to(value: Exact, printed: &str, unit: Unit) -> bool {
    let places = printed.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let one = Length::parse("1", unit).ok().map(Length::exact);
    let written = Length::parse(printed, unit).ok().map(Length::exact);
    let step = u32::try_from(places).ok().and_then(|p| 10_i128.checked_pow(p)).zip(one);
    step.zip(written).is_some_and(|((tens, one), written)| (value - written).abs() * 2 <= one.part(1, tens))
}

fn percentage_holds(row: &Row, unit: Unit) -> bool {
    let Some(percent) = row.service_percent else { return true };
    // Free lengths are given to a thousandth of an inch or a hundredth of a millimetre.
    let step = if unit == Unit::Inch { "0.001" } else { "0.01" };
    let step = Length::parse(step, unit).ok().map(Length::exact);
    let ends = row.nominal.zip(row.service.and_then(|s| s.min)).zip(step);
    ends.is_some_and(|((nominal, min), step)| {
        (nominal.part(i128::from(percent), 100) - min).abs() * 2 <= step
    })
}

fn of_torques(sheet: &Sheet) -> Vec<Conversion> {
    let mut found = Vec::new();
    for group in &sheet.fasteners {
        let at = format!("fasteners {}", group.group);
        let of_sizes = group.sizes.iter().map(|s| (&s.stages, &s.other_stages));
        for (own, printed) in std::iter::once((&group.stages, &group.other_stages)).chain(of_sizes) {
            stages(&at, own, printed, group.torque_unit, &mut found);
        }
    }
    for plugs in sheet.plugs.iter().chain(&sheet.pins) {
        for size in plugs.sizes.iter().filter(|size| !size.other_torque.is_empty()) {
            let at = format!("plugs {} {}", plugs.group, size.size);
            let (own, printed) = (vec![size.torque.clone()], vec![size.other_torque.clone()]);
            stages(&at, &own, &printed, plugs.torque_unit, &mut found);
        }
    }
    found
}

fn stages(at: &str, own: &[String], printed: &[String], unit: TorqueUnit, found: &mut Vec<Conversion>) {
    for (index, printed) in printed.iter().enumerate() {
        let digits = own.get(index);
        found.push(Conversion {
            at: format!("{at} stage {}", index + 1),
            printed: format!("{printed} {}", unit.other().symbol()),
            own: digits.map_or_else(|| "nothing".to_owned(), |d| format!("{d} {}", unit.symbol())),
            holds: digits.is_some_and(|digits| torque_rounds_to(digits, printed, unit)),
        });
    }
}

fn torque_rounds_to(digits: &str, printed: &str, unit: TorqueUnit) -> bool {
    let places = printed.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let factor = unit.newton_metres() / unit.other().newton_metres();
    digits.parse::<f64>().is_ok_and(|torque| format!("{:.places$}", torque * factor) == printed)
}
