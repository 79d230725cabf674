//! What the configuration accepts, and how it answers what it does not.

use super::*;

const GOOD: &str = r#"
site = "main"
timezone = "Europe/Berlin"
summary-at = "07:00"
watch-folder = "watch-folder"
ledger = "ledger/benchdrop.db"
[letters]
from = "benchdrop@shop.example"
to = "folder"
"#;

fn reasons(text: &str) -> Vec<String> {
    Config::parse(text, Path::new("/shop")).expect_err("must be refused")
}

#[test]
fn reads_paths_relative_to_the_file() {
    let config = Config::parse(GOOD, Path::new("/shop")).expect("good");
    assert_eq!(config.watch_folder, Path::new("/shop/watch-folder"));
    assert_eq!(config.settle, Duration::from_secs(1));
    assert!(config.watch);
}

#[test]
fn unknown_keys_are_refused_with_the_nearest_name_all_at_once() {
    let text = GOOD.replace("summary-at", "sumary-at").replace("from =", "form =");
    let found = reasons(&text);
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().any(|r| r.contains("sumary-at: did you mean summary-at?")), "{found:?}");
    assert!(found.iter().any(|r| r.contains("letters.form: did you mean letters.from?")), "{found:?}");
}

#[test]
fn a_password_in_the_file_is_refused() {
    let text = format!(
        "{GOOD}\n[letters.smtp]\nhost = \"127.0.0.1\"\nport = 25\nsecurity = \"starttls\"\npassword = \"x\"\n"
    );
    assert!(reasons(&text).iter().any(|r| r.contains("letters.smtp.password:")));
}

#[test]
fn every_unusable_value_is_named() {
    let text = GOOD
        .replace("Europe/Berlin", "Mars/Olympus")
        .replace("07:00", "7 o'clock")
        .replace("\"folder\"", "\"pigeon\"");
    let found = reasons(&text);
    assert_eq!(found.len(), 3, "{found:?}");
}

/// TOML writes infinity and no number as it writes numbers.
#[test]
fn times_that_are_none_are_refused() {
    for written in ["nan", "inf", "-inf", "1e300", "0.0", "-1.0"] {
        let found =
            reasons(&format!("{GOOD}\n[intake]\nsettle-seconds = {written}\ngrace-seconds = {written}\n"));
        assert_eq!(found.len(), 2, "{found:?}");
    }
}

#[test]
fn smtp_needs_its_table_and_a_login_its_password() {
    assert_eq!(reasons(&GOOD.replace("\"folder\"", "\"smtp\"")).len(), 1);
    let text = format!(
        "{}\n[letters.smtp]\nhost = \"mail.shop.example\"\nport = 465\nsecurity = \"implicit-tls\"\nuser = \"shop\"\npassword-file = \"none\"\n",
        GOOD.replace("\"folder\"", "\"smtp\"")
    );
    assert!(reasons(&text).iter().any(|r| r.contains("password-file")));
}
