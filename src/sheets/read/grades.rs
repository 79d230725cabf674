//! Shells by the grades of housing and journal.

use crate::sheets::Sheet;
use crate::sheets::names::same_name;
use crate::sheets::pair::{Member, ShellGrade};
use crate::sheets::read::Reader;
use crate::sheets::written::PairWritten;

impl Reader {
    /// Each grade as its feature has it: housing, journal, walls.
    pub(super) fn shell_grades(
        &mut self,
        at: &str,
        from: &PairWritten,
        members: [Option<&Member>; 3],
        sheet: &Sheet,
    ) -> Vec<ShellGrade> {
        let mut found = Vec::new();
        for line in &from.shell_grades {
            let mut known =
                [&line.outer, &line.inner, &line.shell].into_iter().zip(members).map(|(grade, member)| {
                    let feature = member.and_then(|member| sheet.features.get(member.feature));
                    let own = feature.and_then(|f| f.grades.iter().find(|(name, _)| same_name(name, grade)));
                    if own.is_none() {
                        let name = feature.map_or("its walls", |feature| feature.key.as_str());
                        self.fault(&format!("{at} shell-grades"), grade, &format!("a grade of {name}"));
                    }
                    own.map(|(name, _)| name.clone())
                });
            let grades = (known.next().flatten(), known.next().flatten(), known.next().flatten());
            if let (Some(outer), Some(inner), Some(shell)) = grades {
                found.push(ShellGrade { outer, inner, shell });
            }
        }
        found
    }
}
