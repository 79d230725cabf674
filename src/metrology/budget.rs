//! An uncertainty budget by the GUM (JCGM 100:2008): named components, each on its line, and what they come to.
//!
//! A component is a standard uncertainty of one quantity, in that quantity's own unit, with the sensitivity that
//! brings it into the result. Components of one *cause* (the micrometer that set the bore gauge and read the journal,
//! the temperature of both parts) are one error seen several times: their contributions are added with their signs
//! before they are squared, so a cause can cancel or double. That is equation 13 with a correlation of one inside a
//! cause and none between causes; a partial correlation is two components, the shared part and the own one.
//!
//! First order only: where a model is curved, its second-order terms are put in as components of their own.

use crate::metrology::quantiles::student;
use std::collections::BTreeMap;

/// One line of a budget.
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// What is uncertain, in the words of the shop: "setting of the bore gauge".
    pub name: String,
    /// What says so: a drop, a certificate, the house rules.
    pub rests_on: String,
    /// Standard uncertainty, in `unit`; not negative.
    pub u: f64,
    /// Unit of `u`: mm, K, ppm/K.
    pub unit: String,
    /// Change of the result per change of this quantity, with its sign.
    pub sensitivity: f64,
    /// Degrees of freedom of `u`, more than zero; infinite for one that is known.
    pub freedom: f64,
    /// Name of the cause it shares with others; `None` when its error is its own.
    pub cause: Option<String>,
}

impl Component {
    /// What it puts into the result: sensitivity times standard uncertainty, with the sign of the sensitivity.
    #[must_use]
    pub fn contribution(&self) -> f64 {
        self.sensitivity * self.u
    }
}

/// A budget: the result's name and unit, and its components in the order they are printed.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Budget {
    /// Unit of the result.
    pub unit: String,
    /// The lines.
    pub components: Vec<Component>,
}

/// What a budget comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Combined {
    /// Combined standard uncertainty, in the unit of the result.
    pub u: f64,
    /// Effective degrees of freedom by Welch and Satterthwaite (JCGM 100, G.4.1), from the unrounded `u`, not yet
    /// cut to a whole number; infinite where every component that counts is known.
    pub freedom: f64,
}

impl Combined {
    /// The factor for a coverage probability `p` (0.95): Student's, with the degrees of freedom cut to a whole number
    /// as JCGM 100, G.4.1 advises; those below one count as one.
    #[must_use]
    pub fn factor(&self, p: f64) -> f64 {
        student(p, self.freedom.floor().max(1.0))
    }

    /// The expanded uncertainty for that probability, in the unit of the result.
    #[must_use]
    pub fn expanded(&self, p: f64) -> f64 {
        self.factor(p) * self.u
    }
}

/// The contributions of one cause, or of one component that has none, added with their signs.
#[derive(Clone, Copy)]
struct Cause {
    contribution: f64,
    freedom: f64,
}

impl Budget {
    /// Adds a component.
    #[must_use]
    pub fn with(mut self, component: Component) -> Self {
        self.components.push(component);
        self
    }

    fn causes(&self) -> Vec<Cause> {
        let mut own = Vec::new();
        let mut shared: BTreeMap<&str, Cause> = BTreeMap::new();
        for component in &self.components {
            let one = Cause { contribution: component.contribution(), freedom: component.freedom };
            let Some(name) = &component.cause else {
                own.push(one);
                continue;
            };
            let cause = shared.entry(name).or_insert(Cause { contribution: 0.0, ..one });
            cause.contribution += one.contribution;
            // One error has one number of degrees of freedom; where two are given the less sure one holds.
            cause.freedom = cause.freedom.min(one.freedom);
        }
        own.extend(shared.into_values());
        own
    }

    /// Combined standard uncertainty and effective degrees of freedom.
    #[must_use]
    pub fn combined(&self) -> Combined {
        let causes = self.causes();
        let square: f64 = causes.iter().map(|cause| cause.contribution.powi(2)).sum();
        let unsure: f64 = causes.iter().map(|cause| cause.contribution.powi(4) / cause.freedom).sum();
        let freedom = if unsure > 0.0 { square * square / unsure } else { f64::INFINITY };
        Combined { u: square.sqrt(), freedom }
    }

    /// The budget as lines of words, one a component in the order given, and one for what they come to. Numbers have
    /// three significant digits.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let mut lines: Vec<String> = self.components.iter().map(|component| self.line(component)).collect();
        let Combined { u, freedom } = self.combined();
        lines.push(format!("together: u = {} {}, {}", digits(u), self.unit, freedom_in_words(freedom)));
        lines
    }

    fn line(&self, component: &Component) -> String {
        let Component { name, rests_on, u, unit, sensitivity, freedom, cause } = component;
        let own = digits(*u);
        let with_sign = digits(component.contribution());
        let shared = cause.as_ref().map_or(String::new(), |cause| format!(", shared: {cause}"));
        format!(
            "{name}: u = {own} {unit}, times {} = {with_sign} {}, {}{shared} ({rests_on})",
            digits(*sensitivity),
            self.unit,
            freedom_in_words(*freedom)
        )
    }
}

fn freedom_in_words(freedom: f64) -> String {
    if freedom.is_finite() { format!("{freedom:.1} degrees of freedom") } else { "taken as known".to_owned() }
}

/// Three significant digits, without an exponent; zero is 0.
#[must_use]
pub fn digits(value: f64) -> String {
    if value.abs() < 1e-15 {
        return "0".to_owned();
    }
    #[expect(clippy::cast_possible_truncation, reason = "the logarithm of a double is small")]
    let places = 2 - value.abs().log10().floor() as i32;
    format!("{value:.places$}", places = usize::try_from(places).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn component(name: &str, u: f64, sensitivity: f64, cause: Option<&str>) -> Component {
        Component {
            name: name.into(),
            rests_on: "drop 0a1b2c3d".into(),
            u,
            unit: "mm".into(),
            sensitivity,
            freedom: f64::INFINITY,
            cause: cause.map(Into::into),
        }
    }

    fn budget(components: Vec<Component>) -> Budget {
        Budget { unit: "mm".into(), components }
    }

    #[test]
    fn a_cause_can_cancel_and_double() {
        let both = |sign| {
            budget(vec![component("H", 0.003, 1.0, Some("mic")), component("J", 0.003, sign, Some("mic"))])
        };
        assert!(both(-1.0).combined().u < 1e-15);
        assert!((both(1.0).combined().u - 0.006).abs() < 1e-15);
    }

    #[test]
    fn nothing_unsure_is_known_for_ever() {
        let combined = budget(vec![component("H", 0.001, 1.0, None)]).combined();
        assert!(combined.freedom.is_infinite());
        assert!((combined.factor(0.95) - 1.96).abs() < 1e-3);
        assert!(Budget::default().combined().u.abs() < 1e-300);
    }

    #[test]
    fn every_line_is_printed() {
        let mut shared = component("micrometer", 0.003, -1.0, Some("setting of micrometer 2"));
        shared.freedom = 24.0;
        // Three, four, five; 24 (25 / 9)^2 = 185.2 degrees of freedom.
        assert_eq!(
            budget(vec![component("repeat", 0.004, 1.0, None), shared]).lines(),
            [
                "repeat: u = 0.00400 mm, times 1.00 = 0.00400 mm, taken as known (drop 0a1b2c3d)",
                "micrometer: u = 0.00300 mm, times -1.00 = -0.00300 mm, 24.0 degrees of freedom, shared: setting of \
                 micrometer 2 (drop 0a1b2c3d)",
                "together: u = 0.00500 mm, 185.2 degrees of freedom",
            ]
        );
    }
}
