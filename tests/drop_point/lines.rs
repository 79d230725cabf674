//! The lines to the drop point: slow ones, many of them, a stop while one is open, and an address that is not there.

use crate::device::{Device, open_shop, shop, with_drop_point};
use crate::process::{LIMIT, some_days_ago};
use crate::script::engine;
use crate::state::left_in_drop;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;

/// Lines that say nothing, or say it letter by letter, end by themselves and keep nobody out; at a stop what is under way is
/// heard to its end.
#[test]
fn slow_lines_keep_nobody_out() {
    let (shop, port, mut service) = open_shop();
    let device = Device::of(&shop, port, "tablet");
    let silent: Vec<TcpStream> = (0..40).map(|_| TcpStream::connect(("127.0.0.1", port)).unwrap()).collect();
    assert_eq!(device.get("/board.html").status, 200);
    for mut stream in silent {
        stream.set_read_timeout(Some(LIMIT)).unwrap();
        stream.write_all(b"GET / HTTP/1.1\r\nHost: x\r\nX-").unwrap();
        // It is closed, whatever is said to it.
        stream.read_to_end(&mut Vec::new()).unwrap_or_default();
    }
    // More than there is room for: those who have room are served.
    let many: Vec<TcpStream> =
        (0..200).filter_map(|_| TcpStream::connect(("127.0.0.1", port)).ok()).collect();
    drop(many);
    shop.wait_until("room again", || {
        device.raw(b"GET /welcome HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n").is_some()
    });
    let before = shop.n_arrivals();
    let bytes = &engine(some_days_ago(), "24-018")[0].bytes;
    let (first, second) = bytes.split_at(bytes.len() / 2);
    let mut slow = device.begin("slow.json", bytes.len());
    slow.write_all(first).unwrap();
    // The half of it that is here is nowhere to be seen.
    assert_eq!(left_in_drop(shop.dir()).len(), 0);
    service.ask_to_end();
    shop.wait_until("closed doors", || TcpStream::connect(("127.0.0.1", port)).is_err());
    slow.write_all(second).unwrap();
    let mut answer = String::new();
    slow.read_to_string(&mut answer).unwrap();
    assert!(answer.starts_with("HTTP/1.1 201 "), "{answer}");
    assert!(service.wait().success(), "{}", shop.log());
    shop.once();
    assert_eq!(shop.n_arrivals(), before + 1);
}

/// An address that this machine does not have (yet), as at a start before the network is there: the rest of the service works.
#[test]
fn work_does_not_wait_for_the_network() {
    let shop = shop();
    let port = with_drop_point(&shop);
    // RFC 5737: an address of nobody's.
    let text = format!("listen = \"192.0.2.1:{port}\"\nunencrypted-on-the-network = true");
    shop.set(&format!("listen = \"127.0.0.1:{port}\""), &text);
    let before = shop.n_arrivals();
    let service = shop.run();
    shop.drop_in(&engine(some_days_ago(), "24-018")[..1]);
    shop.wait_for_arrivals(before + 1);
    assert!(shop.log().contains("does not have its address"), "{}", shop.log());
    shop.ends_cleanly(service);
}
