//! Fasteners, plugs, pins, checks and parts: names, counts, places, patterns and threads.

use super::repeated;
use crate::metrology::Exact;
use crate::sheets::Sheet;
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::hardware::{EngagedIn, FastenerSize, Fasteners};
use crate::sheets::names::{fold_name, same_name};

/// How much thread of one size holds, where the sheet says what the head lies on.
#[derive(Clone, Debug)]
pub struct Engagement {
    /// The group.
    pub group: String,
    /// The size.
    pub size: String,
    /// Length less stack.
    pub engaged: Exact,
    /// Outer diameter of the thread.
    pub diameter: Exact,
    /// The least that holds in its metal: 1.25 diameters in iron and steel, 2 in aluminium.
    pub least: Exact,
    /// Depth of the hole, where it is blind.
    pub hole: Option<Exact>,
}

impl Engagement {
    /// Enough thread, and the bolt does not bottom.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.least <= self.engaged && self.hole.is_none_or(|hole| self.engaged <= hole)
    }
}

/// Every engagement the sheet gives the numbers for.
#[must_use]
pub fn engagements(sheet: &Sheet) -> Vec<Engagement> {
    let sizes = sheet.fasteners.iter().flat_map(|group| group.sizes.iter().map(move |size| (group, size)));
    sizes.filter_map(|(group, size)| engagement(group, size)).collect()
}

fn engagement(group: &Fasteners, size: &FastenerSize) -> Option<Engagement> {
    let diameter = size.thread?.diameter;
    // Trade notes D: 1.25 to 1.5 diameters usual in iron, 2 in aluminium (recalled there).
    let least = match group.engaged_in? {
        EngagedIn::Iron | EngagedIn::Steel => diameter.part(5, 4),
        EngagedIn::Aluminium => diameter.part(2, 1),
    };
    Some(Engagement {
        group: group.group.clone(),
        size: size.size.clone(),
        engaged: size.length? - size.stack?,
        diameter,
        least,
        hole: size.hole,
    })
}

pub(super) fn check(sheet: &Sheet, faults: &mut Faults) {
    let groups = sheet.fasteners.iter().map(|f| &f.group);
    let others = sheet.plugs.iter().chain(&sheet.pins).map(|p| &p.group);
    repeated("group", groups.chain(others).map(|name| fold_name(name)), faults);
    repeated("check", sheet.checks.iter().map(|c| fold_name(&c.key)), faults);
    for group in &sheet.fasteners {
        let at = format!("fasteners {}", group.group);
        repeated(&format!("{at} size"), group.sizes.iter().map(|s| fold_name(&s.size)), faults);
        always_new(group, &at, faults);
        places(group, &at, faults);
        stages(group, &at, faults);
        if group.count() < group.wet {
            let found = format!("{} wet holes of {}", group.wet, group.count());
            faults.push(Fault::new(&at, found, "no more wet holes than pieces"));
        }
    }
    for plugs in sheet.plugs.iter().chain(&sheet.pins) {
        let at = format!("plugs {} size", plugs.group);
        repeated(&at, plugs.sizes.iter().map(|s| fold_name(&s.size)), faults);
    }
    for part in &sheet.parts {
        if let Some(group) = part.sized_by.as_deref().filter(|group| !sheet.has_group(group)) {
            let at = format!("part {} sized-by", part.key);
            faults.push(Fault::new(at, group, "a size-class group that a feature names"));
        }
        repeated(&format!("part {} position", part.key), part.positions.iter().map(|p| fold_name(p)), faults);
    }
    for held in engagements(sheet).iter().filter(|e| !e.holds()) {
        faults.push(too_short_or_bottoms(held, sheet));
    }
}

fn too_short_or_bottoms(held: &Engagement, sheet: &Sheet) -> Fault {
    let show = |length: Exact| length.show(sheet.unit);
    let expected = held.hole.map_or_else(
        || format!("at least {}", show(held.least)),
        |hole| format!("at least {}, and no more than the hole's {}", show(held.least), show(hole)),
    );
    let found = format!("{} of thread engaged", show(held.engaged));
    Fault::new(format!("fasteners {} {}", held.group, held.size), found, expected)
}

/// What is always new is named once, and of a size it is every piece.
fn always_new(group: &Fasteners, at: &str, faults: &mut Faults) {
    repeated(&format!("{at} always-new"), group.always_new.iter().map(|new| fold_name(&new.what)), faults);
    for new in &group.always_new {
        let size = group.sizes.iter().find(|size| same_name(&size.size, &new.what));
        if let Some(size) = size.filter(|size| size.count != new.count) {
            let found = format!("{} of {} {}", new.count, size.count, size.size);
            faults.push(Fault::new(format!("{at} always-new"), found, "all of a size, or what goes with it"));
        }
    }
}

/// Places are as many as pieces, each named once, and the pattern goes to each of them once.
fn places(group: &Fasteners, at: &str, faults: &mut Faults) {
    let all: Vec<&String> = group.sizes.iter().flat_map(|size| &size.places).collect();
    repeated(&format!("{at} place"), all.iter().map(|p| fold_name(p)), faults);
    for size in group.sizes.iter().filter(|size| !size.places.is_empty()) {
        if u32::try_from(size.places.len()) != Ok(size.count) {
            let found = format!("{} places for {} of {}", size.places.len(), size.count, size.size);
            faults.push(Fault::new(at, found, "as many places as pieces"));
        }
    }
    laid_out(group, &all, at, faults);
    if group.pattern.is_empty() {
        return;
    }
    repeated(&format!("{at} pattern"), group.pattern.iter().map(|p| fold_name(p)), faults);
    for place in group.pattern.iter().filter(|p| !all.iter().any(|place| same_name(place, p))) {
        faults.push(Fault::new(format!("{at} pattern"), place, "a place of one of its sizes"));
    }
    for place in all.iter().filter(|place| !group.pattern.iter().any(|p| same_name(place, p))) {
        faults.push(Fault::new(format!("{at} pattern"), format!("nothing at {place}"), "every place, once"));
    }
}

/// The layout shows each place once.
fn laid_out(group: &Fasteners, all: &[&String], at: &str, faults: &mut Faults) {
    let Some(layout) = &group.layout else { return };
    let at = format!("{at} layout");
    let shown: Vec<&str> = layout.spots().map(|(place, _, _)| place).collect();
    repeated(&at, shown.iter().map(|place| fold_name(place)), faults);
    for place in shown.iter().filter(|place| !all.iter().any(|known| same_name(known, place))) {
        faults.push(Fault::new(&at, *place, "a place of one of its sizes"));
    }
    for place in all.iter().filter(|place| !shown.iter().any(|known| same_name(known, place))) {
        faults.push(Fault::new(&at, format!("nothing at {place}"), "every place, once"));
    }
}

/// Every size has a torque or an angle, in the same number of stages, and each pulls harder than the one before.
fn stages(group: &Fasteners, at: &str, faults: &mut Faults) {
    for size in &group.sizes {
        let own = group.stages_of(size);
        if own.len() + group.angles.len() != group.stage_count() || group.stage_count() == 0 {
            let found = format!("{} torques for {}", own.len(), size.size);
            faults.push(Fault::new(at, found, "at least one stage, and as many for every size"));
        }
        let torques: Vec<f64> = own.iter().filter_map(|digits| digits.parse().ok()).collect();
        let ascend = torques.windows(2).all(|two| matches!(two, [a, b] if a < b));
        if torques.len() != own.len() || !ascend {
            faults.push(Fault::new(at, own.join(", "), "torques that ascend from stage to stage"));
        }
    }
    let angles = group.angles.iter().filter_map(|digits| digits.parse::<f64>().ok());
    if angles.filter(|angle| (1.0..=360.0).contains(angle)).count() != group.angles.len() {
        faults.push(Fault::new(at, group.angles.join(", "), "angles of 1 to 360 degrees"));
    }
}
