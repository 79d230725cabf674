//! The drop point from outside: who is let in, what is shown and nothing else, what is taken and when it is acknowledged.
//! Guards promises 1 (nothing dropped is lost) and 2 (counted once) on the way from a tablet or a phone.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/device.rs"]
mod device;
#[path = "drop_point/lines.rs"]
mod lines;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "drop_point/shown.rs"]
mod shown;
#[path = "support/state.rs"]
mod state;
mod support;

use benchdrop::facts::Digest;
use benchdrop::ledger::Outcome;
use device::{Answer, Device, admitted, listening, open_shop, shop, with_drop_point};
use jiff::{Timestamp, ToSpan as _};
use process::{Chance, Shop, some_days_ago};
use script::engine;
use serde_json::{Value, json};
use state::left_in_drop;
use std::fs;
use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
use std::process::Stdio;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering::Relaxed};
use std::time::Duration;

/// What the shop says of a paper, from the answer to handing it in.
fn became(device: &Device, shop: &Shop, taken: &Answer) -> Value {
    let said: Value = serde_json::from_slice(&taken.body).unwrap();
    let path = format!("/became/{}/{}", said["after"], said["taken"].as_str().unwrap());
    let mut last = Value::Null;
    shop.wait_until("the word on a paper", || {
        last = serde_json::from_slice(&device.get(&path).body).unwrap();
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
    for path in ["/board.html", "/", "/forms/check-in.html", "/nothing.html", "/became/0/00"] {
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

#[test]
fn a_drop_is_taken_whole_and_counted_once() {
    let (shop, port, service) = open_shop();
    let device = Device::of(&shop, port, "tablet");
    let before = shop.n_arrivals();
    let papers = engine(some_days_ago(), "24-018");
    let paper = &papers[0];
    let hash = Digest::of(&paper.bytes).hex();
    let answer = device.hand_in("../../odd name.json", &paper.bytes).unwrap();
    assert_eq!(answer.status, 201, "{}", answer.text());
    let said: Value = serde_json::from_slice(&answer.body).unwrap();
    assert_eq!(said["taken"], hash.as_str());
    assert_eq!(became(&device, &shop, &answer)["became"], "filed");
    // Sent again, after the answer was lost on the way.
    let again = device.hand_in("again.json", &paper.bytes).unwrap();
    assert_eq!(again.status, 201);
    assert_eq!(became(&device, &shop, &again)["became"], "copy");
    assert_eq!(shop.n_arrivals(), before + 2);
    // What is refused says so there too, every fault of it.
    let broken = b"{\"kind\": \"measurements\", \"version\": 1}";
    let returned = device.hand_in("broken.json", broken).unwrap();
    assert_eq!(returned.status, 201);
    let word = became(&device, &shop, &returned);
    assert_eq!(word["became"], "returned");
    let slip = word["slip"].as_str().unwrap();
    assert!(slip.contains("no \"who\"") && slip.contains("no \"body\""), "both faults at once: {slip}");
    // Handed in once more, what became of it the first time is no word on it. While the first still lies there it is the first.
    shop.wait_until("an empty drop folder", || left_in_drop(shop.dir()).is_empty());
    let once_more = device.hand_in("broken.json", broken).unwrap();
    let after = serde_json::from_slice::<Value>(&once_more.body).unwrap()["after"].as_i64().unwrap();
    assert!(after >= 3, "asked for after the arrival of the first: {after}");
    let later = device.get(&format!("/became/{}/{}", after + 100, Digest::of(broken).hex()));
    assert_eq!(later.text(), "{\"became\":\"waits\"}");
    // A picture is a paper too.
    let picture = device.hand_in("crank.png", include_bytes!("data/pictures/plain.png")).unwrap();
    assert_eq!(picture.status, 201);
    let name = serde_json::from_slice::<Value>(&picture.body).unwrap()["name"].as_str().unwrap().to_owned();
    assert!(name.starts_with("tablet-crank-") && name.ends_with(".png"), "{name}");
    shop.wait_for_arrivals(before + 5);
    shop.wait_until("an empty drop folder", || left_in_drop(shop.dir()).is_empty());
    shop.ends_cleanly(service);
}

#[test]
fn what_is_not_ours_or_not_whole_is_not_taken() {
    let (shop, port, service) = open_shop();
    let device = Device::of(&shop, port, "tablet");
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
    let large = vec![b' '; 8 * 1024 * 1024];
    let answer = device.hand_in("a.json", &large).unwrap();
    assert!(answer.status == 413 && answer.text().contains("larger than 1 MiB"), "{}", answer.text());
    let some = &large[..1024];
    assert_eq!(device.post("X-Drop-Name: a.json\r\nOrigin: null\r\n", some).unwrap().status, 403);
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
    let (shop, port, service) = open_shop();
    let device = Device::of(&shop, port, "tablet");
    // What a stop left half written goes.
    service.kill();
    let half = shop.watch_folder().join("drop/.drop-point.part");
    fs::write(&half, "{").unwrap();
    let service = listening(&shop, port);
    shop.wait_until("no half of a paper", || !half.exists());
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
    shop.set("adress = \"x\"", "unencrypted-on-the-network = true");
    let text = String::from_utf8(shop.command(&["status"]).output().unwrap().stderr).unwrap();
    assert!(text.contains("drop-point.address is missing: devices cannot come to 0.0.0.0:8437"), "{text}");
    shop.set(
        "unencrypted-on-the-network = true",
        "certificate = \"x.pem\"\nprivate-key = \"x.key\"\naddress = \"http://x\"",
    );
    let text = String::from_utf8(shop.command(&["status"]).output().unwrap().stderr).unwrap();
    assert!(text.contains("with a certificate devices come over https://"), "{text}");
    shop.set(
        "certificate = \"x.pem\"\nprivate-key = \"x.key\"\naddress = \"http://x\"",
        "certificate = \"x.pem\"\naddress = \"bench\"",
    );
    let text = String::from_utf8(shop.command(&["status"]).output().unwrap().stderr).unwrap();
    for words in [
        "certificate and private-key go together",
        "whoever listens in could read everything",
        "drop-point.address \"bench\"",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

/// The port that is meant where none is named is one that the packaged service may listen on.
#[test]
fn the_usual_port_is_open_to_the_packaged_service() {
    let shop = Shop::empty();
    let text = fs::read_to_string(shop.configuration()).unwrap();
    fs::write(shop.configuration(), format!("{text}\n[drop-point]\n")).unwrap();
    let said =
        String::from_utf8(shop.command(&["device", "admit", "tablet"]).output().unwrap().stdout).unwrap();
    assert!(said.starts_with("This address opens on this machine alone."), "{said}");
    let port = said.rsplit_once("http://127.0.0.1:").unwrap().1.split('/').next().unwrap();
    let unit = concat!(env!("CARGO_MANIFEST_DIR"), "/packaging/benchdrop.service");
    let unit = fs::read_to_string(unit).unwrap();
    assert!(unit.lines().any(|line| line == format!("SocketBindAllow=tcp:{port}")), "{port}");
}

/// Two commands at once change both what they change; what root admits the service can read.
#[test]
fn keys_are_changed_one_command_after_another() {
    let shop = shop();
    with_drop_point(&shop);
    let root = rustix::process::geteuid().is_root();
    let ledger = shop.dir().join("ledger");
    if root {
        std::os::unix::fs::chown(&ledger, Some(4321), Some(4322)).unwrap();
    }
    let names: Vec<String> = (0..12).map(|number| format!("tablet-{number}")).collect();
    let admitting: Vec<_> = names
        .iter()
        .map(|name| shop.command(&["device", "admit", name]).stdout(Stdio::null()).spawn().unwrap())
        .collect();
    for mut one in admitting {
        assert!(one.wait().unwrap().success());
    }
    let listed = shop.command(&["device", "list"]).output().unwrap();
    assert_eq!(String::from_utf8(listed.stdout).unwrap().lines().count(), names.len());
    let kept = fs::metadata(ledger.join("devices.json")).unwrap();
    assert!(!root || (kept.uid(), kept.gid()) == (4321, 4322), "{}:{}", kept.uid(), kept.gid());
}

/// Four devices hand in a thousand drops, each again until it is taken, while the service is killed again and again. What was
/// acknowledged is filed, and once, however often it was sent; nothing else is.
#[test]
fn what_was_acknowledged_is_filed_whatever_happens() {
    const DEVICES: u32 = 4;
    const EACH: u32 = 250;
    let shop = shop();
    let port = with_drop_point(&shop);
    let mut chance = Chance(29);
    let begin = some_days_ago();
    let n_acknowledged = Arc::new(AtomicU32::new(0));
    let senders: Vec<_> = (0..DEVICES)
        .map(|number| (number, Device::of(&shop, port, &format!("tablet-{number}"))))
        .map(|(number, device)| {
            let n_acknowledged = Arc::clone(&n_acknowledged);
            std::thread::spawn(move || {
                let papers = (0..EACH).map(|paper| checked_gauge(begin, number * EACH + paper));
                let handed_in = papers.map(|text| handed_in_at_last(&device, text.as_bytes()));
                handed_in.inspect(|_| _ = n_acknowledged.fetch_add(1, Relaxed)).collect::<Vec<Digest>>()
            })
        })
        .collect();
    let mut kills = 0;
    // A kill comes after so many papers, not after so long: however fast the machine is, there are as many of them.
    let mut next = 0;
    while next < DEVICES * EACH {
        let service = listening(&shop, port);
        next = n_acknowledged.load(Relaxed) + u32::try_from(chance.between(1, 100)).unwrap();
        while n_acknowledged.load(Relaxed) < next.min(DEVICES * EACH) {
            std::thread::sleep(Duration::from_millis(1));
        }
        service.kill();
        kills += 1;
    }
    let service = listening(&shop, port);
    let acknowledged: Vec<Digest> = senders.into_iter().flat_map(|sender| sender.join().unwrap()).collect();
    assert!(acknowledged.len() == 1_000 && kills >= 10, "{} acknowledged, {kills} kills", acknowledged.len());
    shop.wait_for_rest();
    let arrivals = shop.ledger().arrivals(10_000).unwrap();
    for hash in &acknowledged {
        let own = arrivals.iter().filter(|arrival| arrival.hash == Some(*hash));
        let filed = own.filter(|arrival| arrival.outcome == Outcome::Filed).count();
        assert_eq!(filed, 1, "{} is filed {filed} times", hash.hex());
    }
    assert!(arrivals.iter().all(|arrival| arrival.outcome != Outcome::Returned));
    shop.ends_cleanly(service);
}

/// A gauge's zero looked at, one of many times.
fn checked_gauge(begin: Timestamp, number: u32) -> String {
    let recorded = begin.checked_add((3600 + i64::from(number)).seconds()).unwrap();
    json!({
        "kind": "gauge", "version": 1, "who": "LM",
        "recorded": recorded.strftime("%Y-%m-%dT%H:%M:%SZ").to_string(),
        "body": {"gauge": "MIC", "instrument": "micrometer", "zero": {"error": "0.0000", "unit": "in"}}
    })
    .to_string()
}

/// Hands it in as the form does: again with the same bytes, whatever went wrong, until it is taken.
fn handed_in_at_last(device: &Device, bytes: &[u8]) -> Digest {
    loop {
        if device.hand_in("gauge.json", bytes).is_some_and(|answer| answer.status == 201) {
            return Digest::of(bytes);
        }
        std::thread::sleep(Duration::from_millis(20));
    }
}
