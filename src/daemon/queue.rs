//! Letters into the batch that carries their cause: threaded, counted, and held where their reader has had many.

use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::daemon::steps::Step;
use crate::ledger::{Batch, HeldLetter, ReaderRow};
use crate::notices::{Budget, Letter, in_one};
use jiff::Timestamp;

impl House {
    /// Queues letters with what caused them, or holds them.
    pub(super) fn queue(
        &self,
        letters: &[Letter],
        now: Timestamp,
        batch: &mut Batch,
    ) -> Result<(), DaemonError> {
        for letter in letters {
            if letter.may_wait && !self.has_room(letter, now, batch)? {
                let (key, recipient) = (letter.key.clone(), letter.to.clone());
                batch.held.push(HeldLetter { key, recipient, letter: as_json(letter) });
            } else {
                self.render(letter, now, batch)?;
            }
        }
        Ok(())
    }

    /// Queues letters that no paper causes.
    pub(super) fn queue_alone(&mut self, letters: &[Letter]) -> Result<(), DaemonError> {
        let mut batch = Batch::default();
        self.queue(letters, self.clock.now(), &mut batch)?;
        Ok(self.ledger.commit(&batch)?)
    }

    /// The first letter of a person and a job begins their thread; the others answer it.
    fn render(&self, letter: &Letter, now: Timestamp, batch: &mut Batch) -> Result<(), DaemonError> {
        let first = match &letter.job {
            None => None,
            Some(job) => {
                let here =
                    batch.letters.iter().find(|l| l.job.as_ref() == Some(job) && l.recipient == letter.to);
                let before = self.ledger.thread_of(job, &letter.to)?;
                before.or_else(|| here.map(|first| first.message_id.clone()))
            }
        };
        batch.letters.extend(self.post.render(letter, first.as_deref(), now));
        Ok(())
    }

    /// Spends of the reader's hour. While letters are held for them the next ones wait behind those.
    fn has_room(&self, letter: &Letter, now: Timestamp, batch: &mut Batch) -> Result<bool, DaemonError> {
        let known = match batch.readers.iter().position(|row| row.recipient == letter.to) {
            Some(index) => Some(batch.readers.swap_remove(index)),
            None => self.ledger.reader(&letter.to)?,
        };
        let mut row = known.unwrap_or_else(|| ReaderRow {
            recipient: letter.to.clone(),
            budget: String::new(),
            next_look: None,
        });
        let mut budget = budget_of(&row);
        let has_room = row.next_look.is_none() && budget.spend(now.as_millisecond());
        if !has_room && row.next_look.is_none() {
            row.next_look = budget.room_at();
        }
        row.budget = as_json(&budget);
        batch.readers.push(row);
        Ok(has_room)
    }

    /// Lets go what was held for those who have room again: one letter each.
    pub(super) fn let_go(&mut self) -> Result<(), DaemonError> {
        let now = self.clock.now();
        while let Some(recipient) = self.ledger.reader_due(now.as_millisecond())? {
            let held = self.ledger.held_letters(&recipient)?;
            let letters: Vec<Letter> =
                held.iter().filter_map(|held| serde_json::from_str(&held.letter).ok()).collect();
            let mut batch =
                Batch { let_go: held.into_iter().map(|held| held.key).collect(), ..Batch::default() };
            let reader = self.ledger.reader(&recipient)?;
            let mut budget = reader.as_ref().map(budget_of).unwrap_or_default();
            if let Some(letter) = in_one(&letters) {
                budget.spend(now.as_millisecond());
                self.render(&letter, now, &mut batch)?;
            }
            batch.readers.push(ReaderRow { recipient, budget: as_json(&budget), next_look: None });
            self.ledger.commit(&batch)?;
            self.after(Step::LetGo)?;
        }
        Ok(())
    }
}

/// A memory that cannot be read counts nothing; a letter more beats one less.
fn budget_of(row: &ReaderRow) -> Budget {
    serde_json::from_str(&row.budget).unwrap_or_default()
}

/// Letters and memories are plain values; writing them as JSON cannot fail.
fn as_json(value: &impl serde::Serialize) -> String {
    serde_json::to_string(value).unwrap_or_default()
}
