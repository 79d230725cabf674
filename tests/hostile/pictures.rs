//! Pictures: what they are is told by their bytes, they are kept as they are, and nothing on the board is followed or
//! believed.

use super::support::*;
use super::tags;
use super::temp_shop::{TempShop, files_below};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use benchdrop::facts::{Digest, JobKey};
use serde_json::{Value, json};
use std::fs;
use std::os::unix::fs::symlink;
use std::path::PathBuf;

const JPEG: &[u8] = include_bytes!("../data/pictures/plain.jpg");
const PNG: &[u8] = include_bytes!("../data/pictures/plain.png");

fn finding(minute: u32, embedded: &[(&str, &[u8])]) -> Value {
    let names: Vec<&str> = embedded.iter().map(|(name, _)| *name).collect();
    let embedded: Vec<Value> = embedded
        .iter()
        .map(|(name, bytes)| json!({"name": name, "data": BASE64_STANDARD.encode(bytes)}))
        .collect();
    drop_at(
        "finding",
        minute,
        json!({"findings": [{"part": "crankshaft", "defect": "scoring", "severity": 3,
        "pictures": names}], "embedded": embedded}),
    )
}

fn board(shop: &TempShop) -> PathBuf {
    shop.path("watch-folder/board/pictures")
}

fn shop_with(drops: &[Value]) -> TempShop {
    let mut shop = TempShop::new();
    let sheet: Value = serde_json::from_str(OV24).unwrap();
    let start = [sheet, house_rules(0), check_in(1)];
    shop.take(&[start.as_slice(), drops].concat());
    shop
}

/// The bytes that came in lie on the board under their hash, and nothing else does.
#[test]
fn bytes_are_kept_untouched_under_their_hash() {
    // What a camera writes behind the picture stays too.
    let long = [JPEG, b"\0trailing\xFF"].concat();
    let shop = shop_with(&[
        finding(20, &[("crank.jpg", JPEG), ("pin.PNG", PNG)]),
        finding(21, &[("crank.jpg", &long)]),
    ]);
    let kept = files_below(&board(&shop));
    let mut found: Vec<(String, Vec<u8>)> = kept
        .into_iter()
        .map(|(path, bytes)| (path.file_name().unwrap().to_str().unwrap().to_owned(), bytes))
        .collect();
    found.sort();
    let mut wanted: Vec<(String, Vec<u8>)> = [(JPEG, "jpg"), (PNG, "png"), (long.as_slice(), "jpg")]
        .map(|(bytes, ending)| (format!("{}.{ending}", Digest::of(bytes).hex()), bytes.to_vec()))
        .into();
    wanted.sort();
    assert_eq!(found, wanted);
    let job = shop.job(JOB);
    let pictures = job["pictures"].as_array().unwrap();
    assert_eq!(pictures.len(), 3);
    assert_eq!((&pictures[0]["width"], &pictures[0]["height"]), (&json!(37), &json!(23)));
    let pages: String = shop.pages().into_values().collect();
    assert!(
        pages.contains(&format!(
            "../pictures/{}/{}.jpg",
            JobKey::of(JOB, SITE).unwrap().slug(),
            Digest::of(JPEG).hex()
        )),
        "the job page leads to it"
    );
}

#[test]
fn what_is_not_what_it_says_is_returned_with_the_reason() {
    let huge = {
        let mut png = PNG.to_vec();
        png[16..24].copy_from_slice(&[0x7F, 0xFF, 0xFF, 0xFF, 0x7F, 0xFF, 0xFF, 0xFF]);
        png
    };
    let cases: Vec<(&str, Vec<u8>, &str)> = vec![
        ("crank.png", JPEG.to_vec(), "by its bytes it is a JPEG picture"),
        ("crank.jpg", PNG.to_vec(), "by its bytes it is a PNG picture"),
        ("crank.html", JPEG.to_vec(), "by its bytes it is a JPEG picture"),
        ("crank.png", huge, "pixels"),
        ("crank.jpg", b"<script>alert(1)</script>".to_vec(), "no picture"),
        ("crank.jpg", JPEG[..20].to_vec(), "header"),
        ("crank.jpg", vec![0; 725_000], "at most"),
        ("../../../crank.jpg", JPEG.to_vec(), "crank-2.jpg"),
    ];
    let mut shop = shop_with(&[]);
    for (index, (name, bytes, _)) in cases.iter().enumerate() {
        shop.put(format!("case-{index}.json"), finding(20, &[(name, bytes)]).to_string());
    }
    shop.once();
    for (index, (name, _, why)) in cases.iter().enumerate() {
        let arrival = shop.arrival(&format!("case-{index}.json"));
        assert!(arrival.slip.contains(why), "{name}: {}", arrival.slip);
    }
    assert!(!board(&shop).exists(), "nothing of it is kept on the board");
}

/// A picture dropped by itself is returned at the door with words that help, and its bytes are in the ledger.
#[test]
fn a_picture_by_itself_is_told_what_to_do() {
    let mut shop = shop_with(&[]);
    shop.put("IMG_2041.JPG", JPEG);
    shop.put("notes.json", PNG);
    shop.once();
    for (name, bytes, kind) in
        [("IMG_2041.JPG", JPEG, "a JPEG picture"), ("notes.json", PNG, "a PNG picture")]
    {
        let arrival = shop.arrival(name);
        assert!(arrival.slip.contains(kind) && arrival.slip.contains("bench form"), "{}", arrival.slip);
        let kept = shop.ledger().bytes_of(&arrival.hash.unwrap()).unwrap();
        assert_eq!(kept.as_deref(), Some(bytes));
    }
}

/// A stranger on the share puts a link, and other bytes, where a picture belongs.
#[test]
fn what_lies_in_its_place_is_replaced_and_never_followed() {
    let mut shop = shop_with(&[]);
    let folder = board(&shop).join(JobKey::of(JOB, SITE).unwrap().slug());
    fs::create_dir_all(&folder).unwrap();
    let elsewhere = shop.path("secret.txt");
    fs::write(&elsewhere, JPEG).unwrap();
    let own = folder.join(format!("{}.jpg", Digest::of(JPEG).hex()));
    symlink(&elsewhere, &own).unwrap();
    let forged = folder.join(format!("{}.png", Digest::of(PNG).hex()));
    fs::write(&forged, vec![b'x'; PNG.len()]).unwrap();
    shop.take(&[finding(20, &[("crank.jpg", JPEG), ("pin.png", PNG)])]);
    assert!(fs::symlink_metadata(&own).unwrap().is_file(), "no link any more");
    assert_eq!(fs::read(&own).unwrap(), JPEG);
    assert_eq!(fs::read(&forged).unwrap(), PNG);
    assert_eq!(fs::read(&elsewhere).unwrap(), JPEG, "what the link led to is untouched");
}

/// A picture of somebody's drop that was withdrawn is taken off the board; where its folder is a link, nothing behind it is
/// touched.
#[test]
fn a_withdrawn_picture_does_not_stay() {
    let mut shop = shop_with(&[finding(20, &[("crank.jpg", JPEG)]), finding(21, &[("pin.png", PNG)])]);
    let folder = board(&shop).join(JobKey::of(JOB, SITE).unwrap().slug());
    let lying = || fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().file_name()).collect::<Vec<_>>();
    assert_eq!(lying().len(), 2);
    let first = shop.job(JOB)["pictures"][0]["said"]["drop"].clone();
    shop.take(&[drop_at("withdrawal", 30, json!({"drop": first, "why": "a picture of something else"}))]);
    assert_eq!(lying().len(), 1);
    let elsewhere = shop.path("elsewhere");
    fs::rename(&folder, &elsewhere).unwrap();
    fs::write(elsewhere.join("mine.jpg"), JPEG).unwrap();
    symlink(&elsewhere, &folder).unwrap();
    shop.take(&[finding(22, &[("other.png", PNG)])]);
    assert!(elsewhere.join("mine.jpg").exists() && !fs::symlink_metadata(&folder).unwrap().is_symlink());
    assert_eq!(lying().len(), 1);
}

#[test]
fn a_name_is_only_text() {
    let shop = shop_with(&[finding(20, &[("<img src=x onerror=alert(1)>.jpg", JPEG)])]);
    tags::only_ours(&shop);
    assert_eq!(shop.job(JOB)["pictures"][0]["name"], "<img src=x onerror=alert(1)>.jpg");
}
