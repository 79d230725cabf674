//! What opens a problem by itself: troubles of parts, and of pieces that are counted.

use crate::facts::{Defect, Hardware, PieceState, PieceTrouble, Pieces, Trouble};

/// What is got over by force or heat.
pub(super) const fn trouble_of(defect: Defect) -> Option<Trouble> {
    match defect {
        Defect::Seized => Some(Trouble::Seized),
        Defect::Break => Some(Trouble::Broken),
        Defect::DamagedThread => Some(Trouble::Stripped),
        Defect::WrongPart => Some(Trouble::Doubtful),
        Defect::NothingFound
        | Defect::Abrasion
        | Defect::Scratch
        | Defect::Scoring
        | Defect::Grooving
        | Defect::Galling
        | Defect::Pitting
        | Defect::Spalling
        | Defect::Fretting
        | Defect::Brinelling
        | Defect::Peening
        | Defect::Erosion
        | Defect::Corrosion
        | Defect::Burning
        | Defect::Crack
        | Defect::Bent
        | Defect::Stretched
        | Defect::Worn
        | Defect::Deposits
        | Defect::Blocked
        | Defect::Loose
        | Defect::Leaking
        | Defect::MaterialState
        | Defect::PreviousRepair
        | Defect::Missing => None,
    }
}

/// What is the matter with pieces that broke, stripped, do not belong or cannot be found, and with threads that hold no more:
/// what is left of them is in the engine until somebody says what was done. What only came out unfit goes back in new, and
/// the bags see to that.
pub(super) fn troubles_of(counted: &Hardware) -> Vec<(String, Option<Trouble>)> {
    let why = if counted.why.is_empty() { String::new() } else { format!(": {}", counted.why) };
    let mut found = Vec::new();
    for piece in &counted.pieces {
        let size = piece.size.as_ref().map_or_else(String::new, |size| format!(" {size}"));
        if let Some((word, trouble)) = gone(counted.state).filter(|_| piece.count > 0) {
            found.push((format!("{}{size} {word}{why}", piece.count), trouble));
        }
        if let Some((word, trouble)) = unfit(piece) {
            found.push((format!("{}{size} {word}", piece.troubled), Some(trouble)));
        }
        if thread_holds_no_more(&piece.thread) {
            found.push((format!("threads{size}: {}", piece.thread), Some(Trouble::Stripped)));
        }
    }
    if thread_holds_no_more(&counted.thread) {
        found.push((format!("threads: {}", counted.thread), Some(Trouble::Stripped)));
    }
    found
}

const fn gone(state: PieceState) -> Option<(&'static str, Option<Trouble>)> {
    match state {
        PieceState::Broken => Some(("broken", Some(Trouble::Broken))),
        PieceState::Lost => Some(("missing", None)),
        PieceState::Bagged
        | PieceState::Used
        | PieceState::Replaced
        | PieceState::Scrapped
        | PieceState::Spare => None,
    }
}

/// A bolt that stripped leaves a hole to look into; one of another grade asks where the right one went.
fn unfit(piece: &Pieces) -> Option<(&'static str, Trouble)> {
    let trouble = piece.trouble?;
    match trouble {
        PieceTrouble::Stripped => Some((trouble.word(), Trouble::Stripped)),
        PieceTrouble::OtherGrade => Some((trouble.word(), Trouble::Doubtful)),
        PieceTrouble::Stretched | PieceTrouble::Bent | PieceTrouble::Galled | PieceTrouble::Rusted => None,
    }
}

/// Words for a thread that failed (trade notes C1), but for one that is said not to have.
fn thread_holds_no_more(words: &str) -> bool {
    let words = words.to_lowercase();
    let words: Vec<&str> = words.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    words.iter().enumerate().any(|(at, word)| {
        let before = words.get(..at).unwrap_or_default();
        let denied = before.iter().any(|word| ["no", "not", "none", "never", "nothing"].contains(word));
        ["stripped", "pulled", "seized", "crossed", "damaged"].contains(word) && !denied
    })
}
