//! The drop point from outside: who is let in, what is shown and nothing else, what is taken and when it is acknowledged.
//! Guards promises 1 (nothing dropped is lost) and 2 (counted once) on the way from a tablet or a phone.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/device.rs"]
mod device;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use benchdrop::facts::Digest;
use benchdrop::ledger::Outcome;
use device::{Device, admitted, listening, with_drop_point};
use process::{Chance, Shop, some_days_ago};
use script::{engine, shop_and_engine};
use serde_json::Value;
use state::left_in_drop;
use std::fs;
use std::os::unix::fs::{PermissionsExt as _, symlink};

/// A shop with an engine, and its board.
fn shop() -> Shop {
    let shop = Shop::empty();
    shop.drop_in(&shop_and_engine(some_days_ago()));
    assert!(shop.once().status.success() || shop.n_arrivals() > 0);
    shop
}

fn became(device: &Device, shop: &Shop, hash: &str) -> Value {
    let mut last = Value::Null;
    shop.wait_until("the word on a paper", || {
        last = serde_json::from_slice(&device.get(&format!("/became/{hash}")).body).unwrap();
        last["became"] != "waits"
    });
    last
}

#[test]
fn a_device_is_let_in_by_its_key_until_that_is_withdrawn() {
    let shop = shop();
    let port = with_drop_point(&shop);
    let address = admitted(&shop, "tablet");
    assert!(address.starts_with(&format!("http://127.0.0.1:{port}/enter/")), "{address}");
    let key = address.rsplit('/').next().unwrap().to_owned();
    assert!(key.len() >= 40, "160 bits and more: {key}");
    let service = listening(&shop, port);
    let device = Device { port, key: key.clone() };
    let stranger = Device { port, key: key.replace(['0', '1', '2'], "3") };
    for path in ["/board.html", "/", "/forms/check-in.html", "/nothing.html", "/became/00"] {
        let answer = stranger.get(path);
        assert_eq!(answer.status, 401, "{path}");
        assert!(answer.text().contains("Ask the owner"), "{}", answer.text());
    }
    let entered = stranger.get(&format!("/enter/{key}"));
    assert_eq!(entered.status, 303);
    let cookie = entered.head.lines().find(|line| line.to_lowercase().starts_with("set-cookie:")).unwrap();
    for part in [key.as_str(), "HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(part), "{cookie}");
    }
    assert_eq!(stranger.get("/enter/0123456789abcdef").status, 401);
    assert!(device.get("/board.html").text().contains("24-017"));
    // The key is kept nowhere: not in the file, not in the log, not on a page.
    let file = shop.dir().join("ledger/devices.json");
    let kept = fs::read_to_string(&file).unwrap();
    assert!(
        kept.contains("tablet") && !kept.contains(&key) && kept.contains(&Digest::of(key.as_bytes()).hex())
    );
    assert_eq!(fs::metadata(&file).unwrap().permissions().mode() & 0o777, 0o600);
    assert!(!shop.log().contains(&key));
    // Withdrawn, it is refused from the next request on, and the others stay.
    let phone = Device::of(&shop, port, "phone");
    assert!(shop.command(&["device", "withdraw", "tablet"]).output().unwrap().status.success());
    assert_eq!((device.get("/board.html").status, phone.get("/board.html").status), (401, 200));
    let listed = shop.command(&["device", "list", "--json"]).output().unwrap();
    let listed: Value = serde_json::from_slice(&listed.stdout).unwrap();
    assert_eq!(
        listed.as_array().unwrap().iter().map(|d| d["name"].as_str().unwrap()).collect::<Vec<_>>(),
        ["phone"]
    );
    shop.ends_cleanly(service);
}

/// What paths that lead elsewhere are made of.
const PARTS: [&str; 31] = [
    "..",
    ".",
    "%2e%2e",
    "%2f",
    "%5c",
    "\\",
    "board",
    "board.html",
    "jobs",
    "orders",
    "issued",
    "benchdrop.toml",
    "ledger",
    "benchdrop.db",
    "devices.json",
    "drop",
    "filed",
    ".benchdrop",
    "%00",
    "a.html",
    "pictures",
    "x.jpg",
    "~",
    "etc",
    "passwd",
    "%252e%252e",
    ";",
    "?",
    "#",
    "enter",
    "became",
];

/// Every name that leads elsewhere, some thousand of them grown by chance from what leads elsewhere; links too.
#[test]
fn nothing_but_the_board_is_shown() {
    let shop = shop();
    let port = with_drop_point(&shop);
    let device = Device::of(&shop, port, "tablet");
    let board = shop.watch_folder().join("board");
    symlink(shop.configuration(), board.join("secret.html")).unwrap();
    symlink(shop.dir(), board.join("jobs/deep")).unwrap();
    symlink(shop.dir(), board.join("plans-away")).unwrap();
    fs::create_dir_all(board.join("orders/x")).unwrap();
    fs::write(board.join("hidden.json"), "x").unwrap();
    let service = listening(&shop, port);
    for path in [
        "/secret.html",
        "/jobs/deep/benchdrop.toml",
        "/hidden.json",
        "/jobs/deep",
        "/.reach",
        "/board.html?x=1",
    ] {
        assert_eq!(device.get(path).status, 404, "{path}");
    }
    let mut chance = Chance(17);
    let mut seen = 0;
    for _ in 0..3_000 {
        let path: String = (0..=chance.between(1, 5))
            .map(|_| format!("/{}", PARTS[usize::try_from(chance.between(0, PARTS.len() as u64)).unwrap()]))
            .collect();
        let answer = device.get(&path);
        let own = path == "/board.html"
            || path.starts_with("/enter/")
            || path.starts_with("/became/")
            || path.starts_with("/?")
            || path.contains('#');
        seen += 1;
        assert!(own || [400, 404, 405].contains(&answer.status), "{path}: {}", answer.status);
        for secret in ["watch-folder =", "key-sha256", "SQLite format", "root:"] {
            assert!(!answer.text().contains(secret), "{path} shows {secret}");
        }
    }
    assert_eq!(seen, 3_000);
    // What is shown may do nothing but be read.
    let page = device.get("/board.html");
    for rule in ["default-src 'none'", "frame-ancestors 'none'", "nosniff", "no-referrer", "no-store"] {
        assert!(page.head.contains(rule), "{rule}: {}", page.head);
    }
    shop.ends_cleanly(service);
}

#[test]
fn a_drop_is_taken_whole_and_counted_once() {
    let shop = shop();
    let port = with_drop_point(&shop);
    let device = Device::of(&shop, port, "tablet");
    let service = listening(&shop, port);
    let before = shop.n_arrivals();
    let papers = engine(some_days_ago(), "24-018");
    let paper = &papers[0];
    let hash = Digest::of(&paper.bytes).hex();
    let answer = device.hand_in("../../odd name.json", &paper.bytes).unwrap();
    assert_eq!(answer.status, 201, "{}", answer.text());
    let said: Value = serde_json::from_slice(&answer.body).unwrap();
    assert_eq!(said["taken"], hash.as_str());
    assert_eq!(became(&device, &shop, &hash)["became"], "filed");
    // Sent again, after the answer was lost on the way.
    assert_eq!(device.hand_in("again.json", &paper.bytes).unwrap().status, 201);
    shop.wait_for_arrivals(before + 2);
    let outcomes: Vec<Outcome> =
        shop.ledger().arrivals(2).unwrap().iter().map(|arrival| arrival.outcome).collect();
    assert!(outcomes.contains(&Outcome::Filed) && outcomes.contains(&Outcome::Copy), "{outcomes:?}");
    // What is refused says so there too.
    let broken = b"{\"kind\": \"measurements\", \"version\": 1}";
    assert_eq!(device.hand_in("broken.json", broken).unwrap().status, 201);
    let word = became(&device, &shop, &Digest::of(broken).hex());
    assert_eq!(word["became"], "returned");
    let slip = word["slip"].as_str().unwrap();
    assert!(slip.contains("no \"who\"") && slip.contains("no \"body\""), "both faults at once: {slip}");
    shop.wait_until("an empty drop folder", || left_in_drop(shop.dir()).is_empty());
    shop.ends_cleanly(service);
}

#[test]
fn what_is_not_ours_or_not_whole_is_not_taken() {
    let shop = shop();
    let port = with_drop_point(&shop);
    let device = Device::of(&shop, port, "tablet");
    let service = listening(&shop, port);
    let before = shop.n_arrivals();
    let bytes = &engine(some_days_ago(), "24-018")[0].bytes;
    let stranger = Device { port, key: "0".repeat(40) };
    assert_eq!(stranger.hand_in("a.json", bytes).unwrap().status, 401);
    // Another site's page can send, but not this head; and says whence it is.
    assert_eq!(device.post("", bytes).unwrap().status, 403);
    assert_eq!(
        device.post("X-Drop-Name: a.json\r\nOrigin: http://elsewhere.example\r\n", bytes).unwrap().status,
        403
    );
    assert_eq!(device.hand_in("a.json", b"").unwrap().status, 400);
    let large = vec![b' '; 1024 * 1024 + 1];
    // The line may break while it still sends.
    assert!(device.hand_in("a.json", &large).is_none_or(|answer| answer.status == 413));
    for _ in 0..20 {
        device.cut_off("a.json", bytes);
    }
    let burst = (0..100).map(|n| device.hand_in("a.json", format!("{n}").as_bytes()).unwrap().status);
    let burst: Vec<u16> = burst.collect();
    assert!(burst.contains(&429), "{burst:?}");
    let taken = burst.iter().filter(|status| **status == 201).count();
    // Each of them, cut off and refused ones not, and no half of anything lies there.
    shop.wait_for_arrivals(before + taken);
    assert_eq!(shop.n_arrivals(), before + taken);
    let drop = shop.watch_folder().join("drop");
    let left: Vec<_> = fs::read_dir(&drop).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left, [".benchdrop"]);
    shop.ends_cleanly(service);
}

/// A folder that is away, and a listener that must not be open.
#[test]
fn what_cannot_be_done_is_said() {
    let shop = shop();
    let port = with_drop_point(&shop);
    let device = Device::of(&shop, port, "tablet");
    let service = listening(&shop, port);
    let (drop, aside) = (shop.watch_folder().join("drop"), shop.watch_folder().join("aside"));
    fs::rename(&drop, &aside).unwrap();
    let answer = device.hand_in("a.json", b"{}").unwrap();
    assert_eq!(answer.status, 503);
    assert!(answer.text().contains("nothing is lost"), "{}", answer.text());
    fs::rename(&aside, &drop).unwrap();
    assert_eq!(device.hand_in("a.json", b"{}").unwrap().status, 201);
    service.kill();
    shop.set(&format!("listen = \"127.0.0.1:{port}\""), "listen = \"0.0.0.0:8437\"\nadress = \"x\"");
    let text = String::from_utf8(shop.command(&["status"]).output().unwrap().stderr).unwrap();
    assert!(text.contains("unknown key drop-point.adress: did you mean drop-point.address?"), "{text}");
    shop.set("adress = \"x\"", "certificate = \"x.pem\"\naddress = \"bench\"");
    let text = String::from_utf8(shop.command(&["status"]).output().unwrap().stderr).unwrap();
    for words in [
        "certificate and private-key go together",
        "whoever listens in could read everything",
        "drop-point.address \"bench\"",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

/// Killed at any moment under load: every paper that was acknowledged is filed, and once.
#[test]
fn what_was_acknowledged_is_filed_whatever_happens() {
    let shop = shop();
    let port = with_drop_point(&shop);
    let device = Device::of(&shop, port, "tablet");
    let mut chance = Chance(29);
    let before = shop.n_arrivals();
    let (mut sent, mut acknowledged) = (0_u32, Vec::new());
    for _ in 0..6 {
        let service = listening(&shop, port);
        let sender = {
            let device = device.clone();
            std::thread::spawn(move || {
                let mut taken = Vec::new();
                for number in sent..sent + 40 {
                    let text = format!("no drop of ours, number {number}, of {}", "x".repeat(500));
                    match device.hand_in("n.txt", text.as_bytes()) {
                        Some(answer) if answer.status == 201 => taken.push(Digest::of(text.as_bytes())),
                        Some(_) => std::thread::sleep(std::time::Duration::from_millis(20)),
                        None => break,
                    }
                }
                taken
            })
        };
        std::thread::sleep(std::time::Duration::from_millis(chance.between(20, 600)));
        service.kill();
        acknowledged.extend(sender.join().unwrap());
        sent += 40;
    }
    assert!(acknowledged.len() > 5, "{} acknowledged", acknowledged.len());
    let service = listening(&shop, port);
    shop.wait_for_arrivals(before + acknowledged.len());
    shop.wait_until("an empty drop folder", || left_in_drop(shop.dir()).is_empty());
    let arrivals = shop.ledger().arrivals(10_000).unwrap();
    for hash in &acknowledged {
        let own = arrivals.iter().filter(|arrival| arrival.hash == Some(*hash)).count();
        assert_eq!(own, 1, "{} arrived {own} times", hash.hex());
    }
    shop.ends_cleanly(service);
}
