//! A device at the drop point: its key, and plain HTTP over a socket of its own, so that what is sent is what is meant.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use crate::process::{Daemon, Shop, free_port, some_days_ago};
use crate::script::shop_and_engine;
use std::fs;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::time::Duration;

/// A shop with an engine, and its board.
pub fn shop() -> Shop {
    let shop = Shop::empty();
    shop.drop_in(&shop_and_engine(some_days_ago()));
    shop.once();
    assert!(shop.n_arrivals() > 0);
    shop
}

/// The same with a drop point that listens at this port.
pub fn open_shop() -> (Shop, u16, Daemon) {
    let shop = shop();
    let port = with_drop_point(&shop);
    let service = listening(&shop, port);
    (shop, port, service)
}

/// A shop with a drop point on a free port of this machine.
pub fn with_drop_point(shop: &Shop) -> u16 {
    let port = free_port();
    let text = fs::read_to_string(shop.configuration()).unwrap();
    fs::write(shop.configuration(), format!("{text}\n[drop-point]\nlisten = \"127.0.0.1:{port}\"\n"))
        .unwrap();
    port
}

/// Starts the service and waits until it listens.
pub fn listening(shop: &Shop, port: u16) -> Daemon {
    let service = shop.run();
    shop.wait_until("the drop point", || TcpStream::connect(("127.0.0.1", port)).is_ok());
    service
}

/// The address that lets a device in.
pub fn admitted(shop: &Shop, name: &str) -> String {
    let output = shop.command(&["device", "admit", name]).output().unwrap();
    assert!(output.status.success(), "{output:?}");
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines().rfind(|line| line.starts_with("http")).unwrap().to_owned()
}

pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

#[derive(Clone)]
pub struct Device {
    pub port: u16,
    pub key: String,
}

impl Device {
    pub fn of(shop: &Shop, port: u16, name: &str) -> Self {
        let address = admitted(shop, name);
        Self { port, key: address.rsplit('/').next().unwrap().to_owned() }
    }

    /// Sends these bytes and reads to the end; `None` where the line broke before an answer.
    pub fn raw(&self, request: &[u8]) -> Option<Answer> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).ok()?;
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        stream.write_all(request).ok()?;
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes).ok()?;
        let end = bytes.windows(4).position(|four| four == b"\r\n\r\n")?;
        let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
        let status = head.split(' ').nth(1)?.parse().ok()?;
        Some(Answer { status, head, body: bytes[end + 4..].to_vec() })
    }

    fn head(&self, method: &str, path: &str, more: &str) -> String {
        let (port, key) = (self.port, &self.key);
        format!(
            "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\nCookie: benchdrop-key={key}\r\n{more}\r\n"
        )
    }

    pub fn get(&self, path: &str) -> Answer {
        self.raw(self.head("GET", path, "").as_bytes()).unwrap()
    }

    pub fn hand_in(&self, name: &str, bytes: &[u8]) -> Option<Answer> {
        self.post(&format!("X-Drop-Name: {name}\r\n"), bytes)
    }

    pub fn post(&self, more: &str, bytes: &[u8]) -> Option<Answer> {
        let more = format!("{more}Content-Length: {}\r\n", bytes.len());
        self.raw(&[self.head("POST", "/drop", &more).as_bytes(), bytes].concat())
    }

    /// A request whose body ends early.
    pub fn cut_off(&self, name: &str, bytes: &[u8]) {
        self.begin(name, bytes.len() + 100).write_all(bytes).unwrap();
    }

    /// The head of a request whose body of so many bytes is yet to come.
    pub fn begin(&self, name: &str, bytes: usize) -> TcpStream {
        let more = format!("X-Drop-Name: {name}\r\nContent-Length: {bytes}\r\n");
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        stream.write_all(self.head("POST", "/drop", &more).as_bytes()).unwrap();
        stream
    }
}
