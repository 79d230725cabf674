//! The geometry of the engine: what ties its features together.

use super::Reader;
use crate::metrology::{Exact, Length, Unit};
use crate::sheets::Sheet;
use crate::sheets::geometry::{Bank, Geometry, HeadGasket, Role, Springs, Valve, ValveGear};
use crate::sheets::names::find_position;
use crate::sheets::written;

impl Reader {
    pub(super) fn geometry(&mut self, from: &written::GeometryWritten, sheet: &Sheet) -> Option<Geometry> {
        let features = from.features.iter().filter_map(|named| self.role(named, sheet)).collect::<Vec<_>>();
        let bore = features.iter().find(|(role, _)| *role == Role::Bore).map(|(_, index)| *index);
        if bore.is_none() {
            self.fault("geometry features", "no bore", "the feature that is the bore");
        }
        let stroke = self.length("geometry stroke", &from.stroke);
        Some(Geometry {
            stroke: stroke?,
            features,
            footprint: self.number_if("geometry footprint", from.footprint.as_deref()),
            head_gasket: from.head_gasket.as_ref().and_then(|gasket| self.head_gasket(gasket)),
            dish: self.number_if("geometry dish", from.dish.as_deref()).unwrap_or(Exact::ZERO),
            recess: self.number_if("geometry recess", from.recess.as_deref()).unwrap_or(Exact::ZERO),
            ratio: self.printed("geometry compression-ratio", from.compression_ratio.as_deref()),
            displacement: self.printed("geometry displacement", from.displacement.as_deref()),
            valve_gear: self.valve_gear(from),
            springs: from.springs.as_ref().and_then(|springs| self.springs(springs)),
            valves: from.valves.iter().filter_map(|valve| self.valve(valve, sheet)).collect(),
            least_squish: self.length_if("geometry least-squish", from.least_squish.as_deref()),
            manifold_factor: self.number_if("geometry manifold-factor", from.manifold_factor.as_deref()),
            banks: self.banks(&from.banks, &sheet.features.get(bore?)?.positions),
        })
    }

    fn role(&mut self, from: &written::RoleWritten, sheet: &Sheet) -> Option<(Role, usize)> {
        let role = Role::from_word(&from.is);
        if role.is_none() {
            self.fault("geometry features", &from.is, &Role::ALL.map(Role::word).join(", "));
        }
        let at = format!("geometry features {}", from.is);
        role.zip(self.feature_named(&at, &from.feature, sheet))
    }

    fn feature_named(&mut self, at: &str, name: &str, sheet: &Sheet) -> Option<usize> {
        let found = sheet.feature(name).map(|(index, _)| index);
        if found.is_none() {
            self.fault(at, name, "a feature listed under features");
        }
        found
    }

    fn length_if(&mut self, at: &str, digits: Option<&str>) -> Option<Exact> {
        digits.and_then(|digits| self.length(at, digits))
    }

    /// A value that is no length of the sheet: cm2, cc, degrees, a plain number.
    fn number(&mut self, at: &str, digits: &str) -> Option<Exact> {
        let read = Length::parse(digits, Unit::CubicCentimetre).map(Length::exact);
        if read.is_err() {
            self.fault(at, digits, "a number with at most 6 decimals");
        }
        read.ok()
    }

    fn number_if(&mut self, at: &str, digits: Option<&str>) -> Option<Exact> {
        digits.and_then(|digits| self.number(at, digits))
    }

    fn printed(&mut self, at: &str, digits: Option<&str>) -> Option<String> {
        digits.filter(|digits| self.number(at, digits).is_some()).map(str::to_owned)
    }

    fn head_gasket(&mut self, from: &written::HeadGasketWritten) -> Option<HeadGasket> {
        let thickness = self.length("geometry head-gasket thickness", &from.thickness);
        let hole = self.length("geometry head-gasket hole", &from.hole);
        Some(HeadGasket { thickness: thickness?, hole: hole? })
    }

    fn valve_gear(&mut self, from: &written::GeometryWritten) -> Option<ValveGear> {
        let radius = self.length_if("geometry sprocket-radius", from.sprocket_radius.as_deref());
        let angle = self.number_if("geometry drive-angle", from.drive_angle.as_deref());
        match from.valve_gear.as_deref() {
            Some("pushrod") => Some(ValveGear::Pushrods),
            Some("overhead cam") => {
                Some(ValveGear::OverheadCam { radius, angle: angle.unwrap_or(Exact::ZERO) })
            }
            Some(other) => {
                self.fault("geometry valve-gear", other, "pushrod or overhead cam");
                None
            }
            None => None,
        }
    }

    fn springs(&mut self, from: &written::SpringsWritten) -> Option<Springs> {
        let rate = self.number("geometry springs rate", &from.rate);
        let solid = self.length("geometry springs solid", &from.solid);
        let shims = from.shims.iter().filter_map(|shim| self.length("geometry springs shims", shim));
        let shims = shims.collect();
        Some(Springs { rate: rate?, solid: solid?, shims })
    }

    fn valve(&mut self, from: &written::ValveWritten, sheet: &Sheet) -> Option<Valve> {
        let at = format!("geometry valves {}", from.valve);
        let seat = self.feature_named(&at, &from.seat, sheet);
        let lift = self.length_if(&at, from.lift.as_deref());
        Some(Valve { name: from.valve.clone(), seat: seat?, lift })
    }

    fn banks(&mut self, from: &[written::BankWritten], bores: &[String]) -> Vec<Bank> {
        let mut banks = Vec::new();
        for bank in from {
            let mut cylinders = Vec::new();
            for name in &bank.cylinders {
                match find_position(bores, name) {
                    Some(index) => cylinders.push(index),
                    None => {
                        self.fault(&format!("geometry banks {}", bank.bank), name, "a position of the bore");
                    }
                }
            }
            banks.push(Bank { name: bank.bank.clone(), cylinders });
        }
        banks
    }
}
