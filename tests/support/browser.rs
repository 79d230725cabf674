//! Debian's Chromium, driven as a person would: chromedriver speaks WebDriver (W3C) over plain HTTP on loopback.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use serde_json::{Value, json};
use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;
use tempfile::TempDir;

/// How WebDriver names the key of an element's handle.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";
pub const TAB: &str = "\u{E004}";

/// One browser with an empty profile; ends with the test.
pub struct Browser {
    driver: Child,
    /// Held open, so that what the driver still says never ends it.
    _said: BufReader<ChildStdout>,
    port: u16,
    session: String,
    folder: TempDir,
}

impl Browser {
    /// A window of this size; what it saves goes into a folder of its own.
    pub fn start(width: u32, height: u32) -> Self {
        let folder = TempDir::new().unwrap();
        let downloads = folder.path().join("downloads");
        fs::create_dir(&downloads).unwrap();
        Self::start_in(folder, &downloads, width, height)
    }

    /// What it saves goes into this folder.
    pub fn start_saving_into(downloads: &Path) -> Self {
        Self::start_in(TempDir::new().unwrap(), downloads, 800, 600)
    }

    fn start_in(folder: TempDir, downloads: &Path, width: u32, height: u32) -> Self {
        let mut driver = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver is installed; tests/run does that");
        let mut said = BufReader::new(driver.stdout.take().unwrap());
        let port = port_of(&mut said);
        let mut browser = Self { driver, _said: said, port, session: String::new(), folder };
        let profile = browser.folder.path().join("profile");
        let args = [
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--disable-dev-shm-usage",
            &format!("--user-data-dir={}", profile.display()),
            &format!("--window-size={width},{height}"),
        ];
        let prefs = json!({"download.default_directory": downloads, "download.prompt_for_download": false});
        let capabilities = json!({"capabilities": {"alwaysMatch": {
            "goog:chromeOptions": {"args": args, "prefs": prefs},
            "goog:loggingPrefs": {"performance": "ALL", "browser": "ALL"},
        }}});
        let started = browser.ask("POST", "", &capabilities);
        browser.session = format!("/{}", started["sessionId"].as_str().unwrap());
        browser
    }

    /// One WebDriver command; an error of the browser is a panic with its words.
    fn ask(&self, method: &str, path: &str, body: &Value) -> Value {
        self.try_ask(method, path, body).unwrap_or_else(|why| panic!("{method} {path}: {why}"))
    }

    fn try_ask(&self, method: &str, path: &str, body: &Value) -> Result<Value, String> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        let body = if method == "GET" || method == "DELETE" { String::new() } else { body.to_string() };
        write!(
            stream,
            "{method} /session{}{path} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\nContent-Type: \
             application/json\r\nContent-Length: {}\r\n\r\n{body}",
            self.session,
            body.len()
        )
        .unwrap();
        let answer = answer(&mut stream);
        let value = answer["value"].clone();
        match value.get("error") {
            Some(error) if value.get("message").is_some() => Err(format!("{error}: {}", value["message"])),
            _ => Ok(value),
        }
    }

    pub fn open(&self, page: &Path) {
        self.open_address(&format!("file://{}", page.display()));
    }

    pub fn open_address(&self, address: &str) {
        self.ask("POST", "/url", &json!({"url": address}));
    }

    pub fn reload(&self) {
        self.ask("POST", "/refresh", &json!({}));
    }

    /// The only element of this XPath.
    pub fn find(&self, xpath: &str) -> String {
        let found = self.try_ask("POST", "/element", &json!({"using": "xpath", "value": xpath}));
        found.unwrap_or_else(|why| panic!("{xpath}: {why}"))[ELEMENT].as_str().unwrap().to_owned()
    }

    pub fn count(&self, xpath: &str) -> usize {
        self.ask("POST", "/elements", &json!({"using": "xpath", "value": xpath})).as_array().unwrap().len()
    }

    pub fn is_shown(&self, xpath: &str) -> bool {
        let element = self.find(xpath);
        self.ask("GET", &format!("/element/{element}/displayed"), &Value::Null) == Value::Bool(true)
    }

    pub fn click(&self, xpath: &str) {
        let element = self.find(xpath);
        self.ask("POST", &format!("/element/{element}/click"), &json!({}));
    }

    /// Types as from a keyboard, behind what stands there.
    pub fn type_in(&self, xpath: &str, text: &str) {
        let element = self.find(xpath);
        self.ask("POST", &format!("/element/{element}/value"), &json!({"text": text}));
    }

    pub fn clear(&self, xpath: &str) {
        let element = self.find(xpath);
        self.ask("POST", &format!("/element/{element}/clear"), &json!({}));
    }

    /// The text a person sees.
    pub fn text(&self, xpath: &str) -> String {
        let element = self.find(xpath);
        self.ask("GET", &format!("/element/{element}/text"), &Value::Null).as_str().unwrap().to_owned()
    }

    /// What stands in a field.
    pub fn value(&self, xpath: &str) -> String {
        let element = self.find(xpath);
        let value = self.ask("GET", &format!("/element/{element}/property/value"), &Value::Null);
        value.as_str().unwrap_or_default().to_owned()
    }

    pub fn run(&self, script: &str) -> Value {
        self.ask("POST", "/execute/sync", &json!({"script": script, "args": []}))
    }

    /// Entries of one of the browser's logs since it was asked the last time.
    pub fn log(&self, kind: &str) -> Vec<Value> {
        self.ask("POST", "/se/log", &json!({"type": kind})).as_array().unwrap().clone()
    }

    /// A picture of the page, as a PNG in base 64.
    pub fn picture(&self) -> String {
        self.ask("GET", "/screenshot", &Value::Null).as_str().unwrap().to_owned()
    }

    /// One command of the browser's own protocol, for what WebDriver has no word for.
    pub fn devtools(&self, command: &str, parameters: &Value) -> Value {
        self.ask("POST", "/goog/cdp/execute", &json!({"cmd": command, "params": parameters}))
    }

    /// The page as it prints on paper of this size in inches: a PDF in base 64.
    pub fn print(&self, width: f64, height: f64) -> String {
        let paper = json!({"paperWidth": width, "paperHeight": height, "printBackground": false});
        self.devtools("Page.printToPDF", &paper)["data"].as_str().unwrap().to_owned()
    }

    /// The files that were saved, oldest name first.
    pub fn saved(&self) -> Vec<PathBuf> {
        let downloads = self.folder.path().join("downloads");
        let entries = fs::read_dir(downloads).unwrap().map(|entry| entry.unwrap().path());
        let mut files: Vec<PathBuf> =
            entries.filter(|path| path.extension().is_some_and(|e| e == "json")).collect();
        files.sort();
        files
    }

    /// Waits until there is something.
    pub fn wait<T>(&self, what: &str, mut is_there: impl FnMut(&Self) -> Option<T>) -> T {
        for _ in 0..1200 {
            if let Some(found) = is_there(self) {
                return found;
            }
            std::thread::sleep(Duration::from_millis(25));
        }
        panic!("{what}: waited in vain");
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // The driver ends its browser with the session; gone already is as good.
        drop(self.try_ask("DELETE", "", &Value::Null));
        self.driver.kill().unwrap_or_default();
        drop(self.driver.wait());
    }
}

/// The port the driver took. It says so once it listens; a port chosen for it, or a call before that, may meet another
/// test's.
fn port_of(said: &mut BufReader<ChildStdout>) -> u16 {
    let mut all = String::new();
    while said.read_line(&mut all).unwrap() > 0 {
        let line = all.lines().last().unwrap_or_default();
        let port =
            line.split_once("started successfully on port ").map(|(_, port)| port.trim_end_matches('.'));
        if let Some(port) = port {
            return port.parse().unwrap_or_else(|error| panic!("{line}: {error}"));
        }
    }
    panic!("chromedriver ended before it listened: {all}")
}

/// The body of one answer, as long as its head says.
fn answer(stream: &mut TcpStream) -> Value {
    let mut bytes = Vec::new();
    let mut piece = [0; 65536];
    loop {
        let text = String::from_utf8_lossy(&bytes);
        if let Some((head, _)) = text.split_once("\r\n\r\n") {
            let mut lines = head.lines().map(str::to_ascii_lowercase);
            let length: Option<usize> =
                lines.find_map(|line| line.strip_prefix("content-length:")?.trim().parse().ok());
            let length = length.expect("chromedriver says how long its answers are");
            let begin = head.len() + 4;
            if bytes.len() >= begin + length {
                return serde_json::from_slice(&bytes[begin..begin + length]).unwrap();
            }
        }
        let read = stream.read(&mut piece).unwrap();
        assert_ne!(read, 0, "chromedriver ended its answer early");
        bytes.extend_from_slice(&piece[..read]);
    }
}
