//! A mail server on this machine that notes when it took each letter, and bare sends to it with the house's own client.

use benchdrop::clock::{Clock as _, SystemClock};
use benchdrop::outbox::{Outgoing, Route, Security, Sender, Sent};
use std::io::{self, BufRead as _, BufReader, Write as _};
use std::net::{TcpListener, TcpStream};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, Sender as Tell, channel};
use std::time::Duration;

/// How long a letter may take before the measurement gives up.
const LIMIT: Duration = Duration::from_secs(60);

/// The server. Its threads end with the process.
pub(super) struct Relay {
    pub(super) port: u16,
    taken: Receiver<Duration>,
}

impl Relay {
    pub(super) fn start(clock: SystemClock) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let (tell, taken) = channel();
        std::thread::spawn(move || {
            for line in listener.incoming().map_while(Result::ok) {
                let tell = tell.clone();
                // A caller that hangs up in the middle is the caller's business.
                std::thread::spawn(move || serve(&line, clock, &tell).unwrap_or_default());
            }
        });
        Self { port, taken }
    }

    /// What it took so far counts no more.
    pub(super) fn forget(&self) {
        while self.taken.try_recv().is_ok() {}
    }

    /// When it took the next letter.
    pub(super) fn accepted(&self) -> Duration {
        self.taken.recv_timeout(LIMIT).unwrap()
    }
}

fn serve(line: &TcpStream, clock: SystemClock, tell: &Tell<Duration>) -> io::Result<()> {
    line.set_nodelay(true)?;
    let say = |words: &str| (&*line).write_all(format!("{words}\r\n").as_bytes());
    let mut hear = BufReader::new(line).lines();
    say("220 relay")?;
    while let Some(command) = hear.next().transpose()? {
        match command.get(..4).unwrap_or_default() {
            "DATA" => {
                say("354 go on")?;
                for text in hear.by_ref() {
                    if text? == "." {
                        break;
                    }
                }
                say("250 taken")?;
                tell.send(clock.since_start()).unwrap_or_default();
            }
            "QUIT" => return say("221 bye"),
            _ => say("250 fine")?,
        }
    }
    Ok(())
}

/// Sends letters of this size one after another; gives for each the time to the server's acceptance.
pub(super) fn bare_sends(relay: &Relay, clock: SystemClock, count: usize, size: usize) -> Vec<Duration> {
    let route = Route::Smtp(benchdrop::outbox::Relay::new("127.0.0.1", relay.port, Security::PlainLoopback));
    let (tell, heard) = channel();
    let tell = Mutex::new(tell);
    let report = move |_, sent| tell.lock().unwrap().send(sent).unwrap_or_default();
    let sender = Sender::start(route, Box::new(report)).unwrap();
    let head = "From: benchdrop@shop.example\r\nTo: owner@shop.example\r\nSubject: bare\r\n\r\n";
    let line = format!("{}\r\n", "x".repeat(70));
    let mail = format!("{head}{}", line.repeat(size / line.len()));
    let one = |id| {
        relay.forget();
        let letter = Outgoing {
            id,
            recipient: "owner@shop.example".to_owned(),
            sender: "benchdrop@shop.example".to_owned(),
            mail: mail.clone().into_bytes(),
            message_id: format!("<{id}@shop.example>"),
            attempts: 0,
        };
        let began = clock.since_start();
        assert!(sender.submit(letter));
        let accepted = relay.accepted();
        assert_eq!(heard.recv_timeout(LIMIT).unwrap(), Sent::Accepted);
        accepted - began
    };
    let times = (0..i64::try_from(count).unwrap()).map(one).collect();
    sender.stop(Duration::from_secs(1));
    times
}
