//! What the shop made of each drop of a job, for the form that handed it in: what is questioned, held or out of limits.

use crate::facts::Digest;
use crate::pages::JobView;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// An object by the digest of each drop's bytes: a line for everything that whoever dropped it should know at once. A drop without a
/// word is as it should be.
#[must_use]
pub fn drop_words(view: &JobView) -> String {
    // By the bytes, which whoever handed it in knows.
    let mut words: BTreeMap<Digest, (Digest, Vec<String>)> =
        view.job.statements().iter().map(|fact| (fact.id, (fact.bytes, Vec::new()))).collect();
    let mut say = |fact: Digest, line: String| {
        if let Some((_, lines)) = words.get_mut(&fact) {
            lines.push(line);
        }
    };
    for held in &view.job.held {
        let part = if held.part.is_empty() { String::new() } else { format!("{}: ", held.part) };
        say(held.fact, format!("held: {part}{}", held.why));
    }
    for asked in view.judgement.questions.iter().filter(|asked| asked.stands) {
        say(asked.reading.fact, format!("questioned: {}, {}: {}", asked.name, asked.digits, asked.why));
    }
    for verdict in view.judgement.standing().filter(|verdict| verdict.is_beyond()) {
        let Some(judged) = &verdict.judged else { continue };
        let (value, limit) = (judged.value_words(verdict.unit), judged.limit_words(verdict.unit));
        let mut facts: Vec<Digest> = judged.readings.iter().map(|reading| reading.fact).collect();
        facts.sort_unstable();
        facts.dedup();
        for fact in facts {
            say(fact, format!("out of limits: {}: {value}, {limit} ({})", verdict.title(), judged.state()));
        }
    }
    let object: Map<String, Value> =
        words.into_values().map(|(bytes, lines)| (bytes.hex(), json!(lines))).collect();
    Value::Object(object).to_string()
}
