//! Papers as they are issued: each stands on its own, without the frame that other pages share and without a link, so that
//! its bytes can be kept for ever, handed over, and compared.
//!
//! When one is issued is decided in `respond`; the ledger keeps the bytes.

use crate::facts::{Digest, Fact, Head, Step};
use crate::pages::JobView;
use crate::pages::build_record::record_content;
use crate::pages::customer_page::{customer_content, title};
use crate::pages::frame::paper;
use crate::shop::{Job, RULE_SET};
use jiff::Timestamp;
use maud::{Markup, html};
use std::sync::Arc;

/// The kind of a paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Paper {
    /// What was measured, fitted and tightened, for the shop and the next rebuilder.
    BuildRecord,
    /// The same in plain words, for the customer.
    CustomerPage,
}

impl Paper {
    /// Every kind, in the order they are made.
    pub const ALL: [Self; 2] = [Self::BuildRecord, Self::CustomerPage];

    /// As printed, and as the ledger has it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::BuildRecord => "build record",
            Self::CustomerPage => "customer page",
        }
    }

    /// The kind of this word.
    #[must_use]
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|paper| paper.word() == word)
    }

    fn content(self, view: &JobView) -> Markup {
        match self {
            Self::BuildRecord => record_content(view),
            Self::CustomerPage => customer_content(view),
        }
    }
}

/// A paper that was issued, without its bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Issued {
    /// Its kind.
    pub paper: Paper,
    /// Counted from 1 for each job; the papers of one version were issued together.
    pub version: u32,
    /// When the last statement it rests on was recorded, Unix milliseconds.
    pub at: i64,
    /// The rules it was made by.
    pub rule_set: u32,
    /// The signature on whose word it was issued.
    pub signature: Digest,
    /// Digest of the statements it rests on, the shop's that hold for it among them.
    pub facts: Digest,
    /// Digest of what it says, whatever its version.
    pub content: Digest,
    /// SHA-256 of its bytes.
    pub hash: Digest,
}

impl Issued {
    /// The name of its file, below the folder of its job.
    #[must_use]
    pub fn file(&self) -> String {
        format!("{}-{}.html", self.paper.word().replace(' ', "-"), self.version)
    }

    /// Version, time, rule set, signature, statements, content and kind, between spaces.
    fn mark(&self) -> String {
        let Self { paper, version, at, rule_set, signature, facts, content, .. } = self;
        let (signature, facts, content) = (signature.hex(), facts.hex(), content.hex());
        format!("{version} {at} {rule_set} {signature} {facts} {content} {}", paper.word())
    }

    /// `2026-03-09 15:20 UTC`.
    #[must_use]
    pub fn known_at(&self) -> String {
        let at = Timestamp::from_millisecond(self.at).unwrap_or(Timestamp::UNIX_EPOCH);
        at.strftime("%Y-%m-%d %H:%M UTC").to_string()
    }
}

/// Digest of what a paper of this engine says, as the engine is now.
#[must_use]
pub fn content_of(view: &JobView, paper: Paper) -> Digest {
    Digest::of(paper.content(view).into_string().as_bytes())
}

/// The papers of the next version, with their bytes, for an engine that was delivered: what is known of it now, as of the
/// last of its statements, recorded `at`. Nothing where no paper would say anything else than the last version.
#[must_use]
pub fn next_version(view: &JobView, before: &[Issued], facts: Digest, at: i64) -> Vec<(Issued, Vec<u8>)> {
    let Some(signed) = view.job.signed.get(&Step::Delivered) else { return Vec::new() };
    let last = before.last().map_or(0, |last| last.version);
    let version = last.saturating_add(1);
    let contents = Paper::ALL.map(|paper| {
        let content = paper.content(view).into_string();
        (paper, Digest::of(content.as_bytes()), content)
    });
    let is_said = |paper: Paper, content: Digest| {
        before.iter().any(|issued| (issued.paper, issued.version, issued.content) == (paper, last, content))
    };
    if contents.iter().all(|(paper, digest, _)| is_said(*paper, *digest)) {
        return Vec::new();
    }
    let mut made: Vec<(Issued, Vec<u8>)> = Vec::new();
    for (kind, content, text) in contents {
        let mut issued = Issued {
            paper: kind,
            version,
            at,
            rule_set: RULE_SET,
            signature: signed.fact,
            facts,
            content,
            hash: content,
        };
        let record = made.first().map(|(record, _)| record.hash);
        let bytes = whole(&view.job, &issued, before, record, &text).into_bytes();
        issued.hash = Digest::of(&bytes);
        made.push((issued, bytes));
    }
    made
}

/// The paper, headed by what it is; the customer's page names the record that it goes with.
fn whole(job: &Job, issued: &Issued, before: &[Issued], record: Option<Digest>, content: &str) -> String {
    let title = match issued.paper {
        Paper::BuildRecord => format!("Build record of job {}", job.written),
        Paper::CustomerPage => title(job),
    };
    let signed = job.signed.get(&Step::Delivered);
    let earlier: Vec<&Issued> = before.iter().filter(|known| known.paper == issued.paper).collect();
    let head = html! {
        @if let Some(signed) = signed {
            p {
                strong { "Version " (issued.version) } " of what was issued of this engine, delivered on the word of "
                (signed.name) ", " (signed.written) " (drop " (signed.fact.short()) "). It says what had been recorded up to "
                (issued.known_at()) ". The shop keeps these bytes; sha256sum of this file is the hash that the shop's page "
                "of the job shows for it."
            }
        }
        @if let Some(record) = record {
            p { "The shop's record of this engine, version " (issued.version) ", has sha256 " code { (record.hex()) } "." }
        }
        @for known in &earlier {
            p { "Takes the place of version " (known.version) ", sha256 " code { (known.hash.hex()) } "." }
        }
        @if let Some(last) = earlier.last() { (recorded_since(job, last)) }
    };
    paper(&title, &issued.mark(), &head, content)
}

/// What was recorded after the last version, so that who holds both knows where they may differ.
fn recorded_since(job: &Job, last: &Issued) -> Markup {
    let said = |fact: &Arc<Fact>| {
        let Head { who, recorded, .. } = &fact.head;
        format!("{} by {who}, {} (drop {})", fact.body.kind(), recorded.short(), fact.id.short())
    };
    let is_later = |fact: &&Arc<Fact>| fact.head.recorded.instant().as_millisecond() > last.at;
    let later: Vec<String> = job.statements().iter().filter(is_later).map(said).collect();
    html! {
        @if later.is_empty() {
            p {
                "Nothing that counts was recorded since version " (last.version) "; what differs was withdrawn, or arrived "
                "late."
            }
        } @else {
            p { "Recorded since version " (last.version) ": " (later.join("; ")) "." }
        }
    }
}

/// A paper as it says of itself, from its bytes; `None` for anything else, also where what it says was changed since.
#[must_use]
pub fn read_issued(bytes: &[u8]) -> Option<Issued> {
    let text = std::str::from_utf8(bytes).ok()?;
    let (_, rest) = text.split_once("<meta name=\"issued\" content=\"")?;
    let mut words = rest.split_once('"')?.0.splitn(7, ' ');
    let mut next = || words.next();
    let issued = Issued {
        version: next()?.parse().ok()?,
        at: next()?.parse().ok()?,
        rule_set: next()?.parse().ok()?,
        signature: Digest::from_hex(next()?)?,
        facts: Digest::from_hex(next()?)?,
        content: Digest::from_hex(next()?)?,
        paper: Paper::of_word(next()?)?,
        hash: Digest::of(bytes),
    };
    let (_, said) = text.split_once("<div id=\"said\">")?;
    let content = said.strip_suffix("</div></main></body></html>")?;
    (Digest::of(content.as_bytes()) == issued.content).then_some(issued)
}
