//! The drop point on a tablet: Debian's Chromium comes in by its code, the form is filled, reloaded in the middle and handed in
//! while the network is lost; what was typed arrives once, and what was returned says so there. Guards promises 1 and 2.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/browser.rs"]
mod browser;
#[path = "support/device.rs"]
mod device;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use browser::{Browser, TAB};
use device::{admitted, listening, open_shop, shop, with_drop_point};
use process::Shop;
use std::fs;
use std::process::Command;

const FINDING: &str = "//details[@id='finding']";
const HANDING: &str = "//*[@id='handing']";

/// A tablet that was let in, with the engine's form open.
fn tablet(shop: &Shop, port: u16, width: u32) -> Browser {
    let address = admitted(shop, "tablet");
    let browser = Browser::start(width, 1180);
    browser.open_address(&address);
    assert!(browser.text("//body").contains("This device is let in"), "{}", browser.text("//body"));
    browser.click("//a");
    assert!(browser.text("//body").contains("24-017"), "{}", browser.text("//body"));
    let forms = shop.watch_folder().join("board/forms");
    let form = fs::read_dir(forms).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let form = form.into_iter().find(|name| name.contains("24-17")).unwrap();
    browser.open_address(&format!("http://127.0.0.1:{port}/forms/{form}"));
    browser
}

fn problem(browser: &Browser, words: &str) {
    if browser.count(&format!("{FINDING}[@open]")) == 0 {
        browser.click(&format!("{FINDING}/summary"));
    }
    for box_of in ["block", "crankshaft"] {
        let ticked = format!("{FINDING}//fieldset[@data-shape='looked']//input[@value='{box_of}']");
        if browser.run(&format!(
            "return document.evaluate(\"{ticked}\", document, null, 9, null).singleNodeValue.checked"
        )) == false
        {
            browser.click(&ticked);
        }
    }
    browser.clear("//input[@id='who']");
    browser.type_in("//input[@id='who']", &format!("{words}{TAB}"));
}

fn hand_in(browser: &Browser) {
    browser.click(&format!("{FINDING}//button[@data-finish='save']"));
}

fn told(browser: &Browser, words: &str) -> String {
    browser.wait(words, |browser| Some(shown(browser)).filter(|text| text.contains(words)))
}

/// What the bar at the top says, and each paper below it.
fn shown(browser: &Browser) -> String {
    format!("{}\n{}", browser.text("//*[@id='state']"), browser.text(HANDING))
}

#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn a_form_is_handed_in_over_a_bad_network() {
    let (shop, port, service) = open_shop();
    let browser = tablet(&shop, port, 820);
    let before = shop.n_arrivals();
    assert_eq!(browser.text(&format!("{FINDING}//button[@data-finish='save']")).trim(), "");
    problem(&browser, "LM");
    assert_eq!(browser.text(&format!("{FINDING}//button[@data-finish='save']")), "Hand in");
    // Half typed, and the page is loaded again: it is there still.
    browser.reload();
    assert_eq!(browser.value("//input[@id='who']"), "LM");
    problem(&browser, "LM");
    // The network is gone: it waits on the device, and says so.
    service.kill();
    hand_in(&browser);
    let waits = told(&browser, "1 not handed in yet");
    assert!(waits.contains("no network"), "{waits}");
    assert_eq!(shop.n_arrivals(), before);
    // The network is back: it is handed in by itself, once.
    let service = listening(&shop, port);
    let done = told(&browser, ", filed");
    assert!(done.contains("Everything is handed in") && done.contains("taken at "), "{done}");
    shop.wait_for_arrivals(before + 1);
    // It is told of after a reload too.
    browser.reload();
    told(&browser, ", filed");
    // Nothing went anywhere but to this shop.
    let elsewhere = browser.log("performance").into_iter().filter_map(|entry| {
        let message: serde_json::Value = serde_json::from_str(entry["message"].as_str()?).ok()?;
        let address = message["message"]["params"]["request"]["url"].as_str()?.to_owned();
        (!address.starts_with(&format!("http://127.0.0.1:{port}/")) && !address.starts_with("data:"))
            .then_some(address)
    });
    let elsewhere: Vec<String> = elsewhere.collect();
    assert!(elsewhere.iter().all(|address| address.starts_with("chrome")), "{elsewhere:?}");
    // A page that was closed with something to hand in: whichever form is opened next goes on with it.
    service.kill();
    problem(&browser, "SK");
    hand_in(&browser);
    told(&browser, "1 not handed in yet");
    browser.open_address("data:text/html,away");
    let service = listening(&shop, port);
    browser.open_address(&format!("http://127.0.0.1:{port}/forms/check-in.html"));
    browser.wait("both filed", |browser| {
        let text = shown(browser);
        (text.matches(", filed").count() == 2 && text.contains("Everything is handed in")).then_some(())
    });
    shop.wait_for_arrivals(before + 2);
    assert_eq!(shop.n_arrivals(), before + 2);
    shop.ends_cleanly(service);
}

/// What was returned says so on the device, with its slip, until it is put away; a picture is shown as one.
#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn what_was_returned_is_told_on_the_device() {
    let (shop, port, service) = open_shop();
    let browser = tablet(&shop, port, 500);
    let before = shop.n_arrivals();
    // Kept by a form of an earlier version: no field of today's makes it.
    browser.run(
        "localStorage.setItem(['benchdrop', document.getElementById('bench').dataset.site, 'unsent', '1', 'old.json'].join('/'), \
         JSON.stringify({ name: 'old.json', text: '{\"kind\": \"measurements\", \"version\": 1}' }))",
    );
    browser.reload();
    let said = told(&browser, "RETURNED");
    assert!(said.contains("no \"who\"") && said.contains("Everything is handed in"), "{said}");
    assert_eq!(
        browser.value(&format!("{HANDING}//textarea")),
        "{\"kind\": \"measurements\", \"version\": 1}"
    );
    browser.reload();
    told(&browser, "RETURNED");
    let over = "return document.documentElement.scrollWidth - document.documentElement.clientWidth";
    assert_eq!(browser.run(over), 0, "a slip is no wider than the device");
    browser.click(&format!("{HANDING}//button[text()='Put away']"));
    assert!(!browser.is_shown(HANDING));
    browser.reload();
    assert!(!browser.is_shown(HANDING));
    assert_eq!(shop.n_arrivals(), before + 1);
    let pictures = shop.watch_folder().join("board/pictures/main-24-17-5c89ed86");
    fs::create_dir_all(&pictures).unwrap();
    fs::write(pictures.join("a.png"), include_bytes!("data/pictures/plain.png")).unwrap();
    browser.open_address(&format!("http://127.0.0.1:{port}/pictures/main-24-17-5c89ed86/a.png"));
    assert!(browser.run("return document.images[0].naturalWidth").as_u64().unwrap() > 0);
    shop.ends_cleanly(service);
}

/// What the shop makes of a paper is said where it was handed in: a reading that looks like a slip is questioned, a paper that
/// was returned is filled in again, and what was done before it was typed has its own time.
#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn the_shop_answers_on_the_device() {
    let (shop, port, service) = open_shop();
    let browser = tablet(&shop, port, 820);
    let readings = "//details[@id='measurements']";
    browser.clear("//input[@id='who']");
    browser.type_in("//input[@id='who']", &format!("LM{TAB}"));
    browser.click(&format!("{readings}/summary"));
    browser.run("const choice = document.querySelector('#measurements [data-key=condition] select'); choice.value = 'as received'");
    browser.click(&format!("{readings}//details[@data-feature='main journal']/summary"));
    browser.type_in("//input[@aria-label='main journal 4 front X']", "2.4288");
    browser.run(
        "document.querySelector('#measurements [data-when] input').value = '2026-03-02T09:30'; window.scrollTo(0, 0)",
    );
    // It says beside the reading what looks like a slip, and hands it in as it stands.
    browser.click(&format!("{readings}//button[@data-finish='save']"));
    let said = told(&browser, "questioned: main journal 4 front X, 2.4288");
    assert!(said.contains("Readings, main journal 4"), "{said}");
    told(&browser, "1 with a word from the shop");
    let ledger = shop.ledger();
    let bytes =
        ledger.arrivals(100).unwrap().into_iter().filter_map(|one| ledger.bytes_of(&one.hash?).unwrap());
    let papers: Vec<String> = bytes.map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).collect();
    let own = papers.iter().find(|paper| paper.contains("2.4288")).unwrap();
    assert!(own.contains("\"2026-03-02T09:30:"), "{own}");
    // Nothing later than now.
    browser.run("document.querySelector('#finding [data-when] input').value = '2099-03-02T09:30'");
    problem(&browser, "LM");
    hand_in(&browser);
    assert_eq!(browser.text(&format!("{FINDING}//label[@data-when]/em")), "that is still to come");
    browser.run("document.querySelector('#finding [data-when] input').value = ''");
    // A clock that is wrong is said while it can be put right.
    let clocks = "document.getElementById('clocks').textContent";
    assert_eq!(browser.run(&format!("return compareClocks().then(() => {clocks})")), "");
    let ahead = "const now = Date.now; Date.now = () => now() + 420000; \
                 return compareClocks().then(() => { Date.now = now; return CLOCKS; })";
    let said = browser.run(&ahead.replace("CLOCKS", clocks));
    assert_eq!(said, "This device's clock is 7 min ahead of the shop's. Put it right before you go on.");
    // Returned, and into the fields again.
    browser.run(
        "localStorage.setItem(['benchdrop', bench.dataset.site, 'unsent', '1', 'old.json'].join('/'), JSON.stringify({ \
         name: 'old.json', kind: 'finding', slug: bench.dataset.slug, what: 'What was seen', text: '{}', \
         raw: { fields: [['findings', 'looked', ['flywheel']]], when: '2026-03-02T08:00', stayed: {} } })); location.reload()",
    );
    told(&browser, "1 RETURNED");
    // Not over what is half typed there.
    browser.click(&format!("{HANDING}//button[text()='Fill in again']"));
    assert!(
        browser.text(HANDING).contains("something is typed in that section"),
        "{}",
        browser.text(HANDING)
    );
    browser.run("window.scrollTo(0, 0)");
    browser.click(&format!("{FINDING}/summary"));
    for part in ["block", "crankshaft"] {
        browser.click(&format!("{FINDING}//fieldset[@data-shape='looked']//input[@value='{part}']"));
    }
    browser.click(&format!("{HANDING}//button[text()='Fill in again']"));
    let when = browser.run("return document.querySelector('#finding [data-when] input').value");
    assert_eq!(when, "2026-03-02T08:00");
    let ticked = "return [...document.querySelectorAll('#finding [data-shape=looked] input:checked')].map((one) => one.value).join()";
    assert_eq!(browser.run(ticked), "flywheel");
    shop.ends_cleanly(service);
}

/// A key that was withdrawn while the page was open: nothing typed is lost, and the page says what to do.
#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn what_a_withdrawn_device_typed_stays_on_it() {
    let (shop, port, service) = open_shop();
    let browser = tablet(&shop, port, 820);
    let before = shop.n_arrivals();
    assert!(shop.command(&["device", "withdraw", "tablet"]).output().unwrap().status.success());
    problem(&browser, "LM");
    hand_in(&browser);
    let said = told(&browser, "1 not handed in yet");
    assert!(said.contains("ask the owner for a code"), "{said}");
    // Let in again, the page that was left open hands it in.
    let form = browser.run("return location.href");
    browser.open_address(&admitted(&shop, "tablet"));
    browser.open_address(form.as_str().unwrap());
    told(&browser, "filed");
    shop.wait_for_arrivals(before + 1);
    shop.ends_cleanly(service);
}

/// Over an encrypted line, with a certificate that the device trusts; another program's client says so.
#[test]
#[ignore = "needs openssl and curl; tests/run runs it"]
fn an_encrypted_line_is_what_the_certificate_says() {
    let shop = shop();
    let port = with_drop_point(&shop);
    let in_shop = |name: &str| shop.dir().join(name);
    make_certificate(&shop);
    let listen = format!("listen = \"127.0.0.1:{port}\"");
    let files = "certificate = \"chain.pem\"\nprivate-key = \"key.pem\"";
    shop.set(&listen, &format!("{listen}\naddress = \"https://localhost:{port}/\"\n{files}"));
    let address = admitted(&shop, "phone");
    assert!(address.starts_with(&format!("https://localhost:{port}/enter/")), "{address}");
    let service = listening(&shop, port);
    let curl = |trusted: bool, address: &str| {
        let mut curl = Command::new("curl");
        curl.args(["--silent", "--show-error", "--include", "--noproxy", "*", "--max-time", "20"]);
        if trusted {
            curl.arg("--cacert").arg(in_shop("chain.pem"));
        }
        curl.arg("--cookie-jar").arg(in_shop("jar")).arg("--cookie").arg(in_shop("jar"));
        String::from_utf8_lossy(&curl.arg(address).output().unwrap().stdout).into_owned()
    };
    assert!(curl(true, &address).contains("; Secure"));
    assert!(curl(true, &format!("https://localhost:{port}/board.html")).contains("24-017"));
    assert_eq!(curl(false, &format!("https://localhost:{port}/board.html")), "", "not without trusting it");
    assert_eq!(curl(true, &format!("http://localhost:{port}/board.html")), "", "nothing in the clear");
    // Renewed: the next line has the new one, without a stop.
    let first = fs::read(in_shop("chain.pem")).unwrap();
    make_certificate(&shop);
    assert_ne!(fs::read(in_shop("chain.pem")).unwrap(), first);
    assert!(curl(true, &format!("https://localhost:{port}/board.html")).contains("24-017"));
    shop.ends_cleanly(service);
    // A key that is none is said at the start, with its file.
    fs::write(in_shop("key.pem"), "no key").unwrap();
    let output = shop.command(&["run"]).output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!output.status.success() && said.contains("key.pem"), "{said}");
}

/// A certificate of its own for `localhost`, and its key.
fn make_certificate(shop: &Shop) {
    let curve = ["req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"];
    let made = Command::new("openssl")
        .args(curve)
        .args(["-days", "2", "-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost"])
        .args(["-keyout", "key.pem", "-out", "chain.pem"])
        .current_dir(shop.dir())
        .output()
        .unwrap();
    assert!(made.status.success(), "{made:?}");
}
