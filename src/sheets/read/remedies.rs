//! What may be done about a feature beyond its limit.

use crate::metrology::Exact;
use crate::sheets::Sheet;
use crate::sheets::feature::{Remedy, RemedyKind};
use crate::sheets::read::Reader;
use crate::sheets::shape::Shape;
use crate::sheets::written::FeatureWritten;

/// As written; else what a group machines together is machined to the group's sizes.
pub(super) fn of(from: &FeatureWritten, shape: Shape, has_sizes: bool) -> Vec<Remedy> {
    let remedy = |operation: &str| Remedy {
        operation: operation.to_owned(),
        kind: RemedyKind::of(operation),
        takes_from: None,
        off: None,
    };
    if !from.remedies.is_empty() {
        return from.remedies.iter().map(|written| remedy(&written.operation)).collect();
    }
    match shape {
        Shape::Bore if has_sizes && !from.group.is_empty() => vec![remedy("bore and hone")],
        Shape::Shaft if has_sizes && !from.group.is_empty() => vec![remedy("grind")],
        Shape::Bore | Shape::Shaft | Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => {
            Vec::new()
        }
    }
}

impl Reader {
    /// What each remedy makes thinner. A face is cut from something, or nobody can say what is left of it; and what has
    /// no sizes cannot be machined to one.
    pub(super) fn taken_from(
        &mut self,
        from: &FeatureWritten,
        sheet: &Sheet,
    ) -> Vec<(Option<usize>, Option<Exact>)> {
        let at = format!("feature {} remedies", from.feature);
        let mut found = Vec::new();
        for remedy in &from.remedies {
            let name = remedy.takes_from.as_deref();
            let cut = name.and_then(|name| sheet.feature(name)).map(|(index, _)| index);
            let kind = RemedyKind::of(&remedy.operation);
            if let Some(name) = name.filter(|_| cut.is_none()) {
                self.fault(&at, name, "a feature of this sheet");
            } else if cut.is_none() && kind == RemedyKind::Cut {
                self.fault(&at, &remedy.operation, "takes-from: the feature that gets thinner by it");
            } else if from.sizes.is_none() && kind == RemedyKind::ToSize {
                self.fault(&at, &remedy.operation, "sizes to machine it to, or another operation");
            }
            let off = remedy.off.as_deref().and_then(|digits| self.length(&at, digits));
            found.push((cut, off));
        }
        found
    }
}
