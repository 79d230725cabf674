//! Issued papers when the ledger is lost: what lies on the board comes back, and what nothing bears out is named.

use super::*;
use benchdrop::daemon::{Sources, rebuild as make_anew};

fn anew(shop: &TempShop, to: &str, backup: Option<&Path>) -> Vec<(String, u32, String)> {
    made_anew(shop, to, backup).0
}

/// What was issued by the new ledger, and what it doubts.
fn made_anew(shop: &TempShop, to: &str, backup: Option<&Path>) -> (Vec<(String, u32, String)>, Vec<String>) {
    let config = Config::parse(CONFIG, &shop.path("")).unwrap();
    let (new, watch_folder) = (shop.path(to), shop.path("watch-folder"));
    let sources = Sources { backup, watch_folder: &watch_folder };
    let made = make_anew(&new, &config, &sources, NOW.parse().unwrap(), &mut |_, _| {}).unwrap();
    assert!(made.report.is_sound() && made.report.issued > 0, "{made:?}");
    let doubts = made.doubtful.into_iter().map(|(place, why)| format!("{place}: {why}")).collect();
    (issued_in(&Ledger::read_only(&new).unwrap()), doubts)
}

/// Somebody wrote another word into a paper, and made it vouch for itself again: it is kept, since it may be what the customer
/// holds, and it is named.
#[test]
fn a_paper_that_nothing_bears_out_is_named() {
    let mut shop = shop();
    shop.take(&drops());
    assert_eq!(made_anew(&shop, "honest.db", None).1, Vec::<String>::new());
    let place = folder(&shop).join("customer-page-1.html");
    let text = fs::read_to_string(&place).unwrap();
    let (head, said) = text.split_once("<div id=\"said\">").unwrap();
    let said = said.strip_suffix("</div></main></body></html>").unwrap();
    let other = said.replacen("Stenning Machine", "Nobody", 1).replacen("ground", "polished", 1);
    let other = if other == said { format!("{said}<p>Free of charge.</p>") } else { other };
    let digest = |text: &str| Digest::of(text.as_bytes()).hex();
    let forged = text.replace(&digest(said), &digest(&other)).replace(said, &other);
    assert!(head.contains(&digest(said)) && forged != text);
    fs::write(&place, &forged).unwrap();
    let (made, doubts) = made_anew(&shop, "forged.db", None);
    assert!(made.iter().any(|(_, _, hash)| *hash == digest(&forged)), "{made:?}");
    assert_eq!(doubts.len(), 1);
    assert!(
        doubts[0].contains("customer-page-1.html: the statements it names come to something else"),
        "{doubts:?}"
    );
}

/// A backup has them; from the papers alone they come out the same.
#[test]
fn a_ledger_made_anew_has_the_same_versions() {
    let mut shop = shop();
    shop.take(&drops());
    let backup = shop.path("backup.db");
    shop.ledger().back_up(&backup, &mut |_, _| {}).unwrap();
    shop.take(&[hours(10)]);
    let before = issued(&shop);
    assert_eq!(versions(&shop), 2);
    assert_eq!(anew(&shop, "from-backup.db", Some(&backup)), before);
    assert_eq!(anew(&shop, "from-papers.db", None), before);
    // Also where somebody wrote into one of them, and where none lies there any more.
    let first = folder(&shop).join("build-record-1.html");
    let text = fs::read_to_string(&first).unwrap();
    let other = text.replace("LM, 2026", "Somebody, 2026");
    assert_ne!(text, other);
    fs::write(&first, other).unwrap();
    fs::remove_file(folder(&shop).join("build-record-2.html")).unwrap();
    assert_eq!(anew(&shop, "from-less.db", None), before);
}

/// What an earlier release issued comes back from the board with its own bytes, not made once more by today's rules.
#[test]
fn a_ledger_made_anew_keeps_what_other_rules_issued() {
    let mut shop = shop();
    shop.take(&drops());
    let place = folder(&shop).join("build-record-1.html");
    let text = fs::read_to_string(&place).unwrap();
    let mark = text.split_once("name=\"issued\" content=\"").unwrap().1.split_once('"').unwrap().0.to_owned();
    let rules = format!(" {RULE_SET} ");
    assert_eq!(mark.matches(&rules).count(), 1);
    let older = text.replace(&mark, &mark.replacen(&rules, " 2 ", 1));
    fs::write(&place, &older).unwrap();
    let (made, doubts) = made_anew(&shop, "anew.db", None);
    assert!(doubts.len() == 1 && doubts[0].contains("so it was not compared"), "{doubts:?}");
    assert_eq!(made[0], ("build record".to_owned(), 1, Digest::of(older.as_bytes()).hex()));
    assert_eq!((made.len(), &made[1]), (2, &issued(&shop)[1]));
}
