//! A mail relay that does what a test says, in threads of the test: it answers, it is silent, or it holds its last
//! word back.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

use std::io::{self, BufRead as _, BufReader, Write as _};
use std::net::{TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::sleep;
use std::time::Duration;

#[derive(Default)]
struct Seen {
    /// Takes connections and never says a word.
    silent: bool,
    /// The word after the dot is held back while this is true.
    holding: AtomicBool,
    calls: AtomicUsize,
    letters: Mutex<Vec<String>>,
}

/// A relay on this machine. Its threads end with the process; they do nothing unless somebody calls.
pub struct Relay {
    pub port: u16,
    seen: Arc<Seen>,
}

impl Relay {
    /// One that never answers.
    pub fn silent() -> Self {
        Self::start(Seen { silent: true, ..Seen::default() })
    }

    /// One that takes letters, but does not say so before [`Relay::speak`].
    pub fn holding() -> Self {
        Self::start(Seen { holding: AtomicBool::new(true), ..Seen::default() })
    }

    fn start(seen: Seen) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let seen = Arc::new(seen);
        let own = Arc::clone(&seen);
        std::thread::spawn(move || {
            for line in listener.incoming().map_while(Result::ok) {
                let seen = Arc::clone(&own);
                // A caller that hangs up in the middle is the caller's business.
                std::thread::spawn(move || serve(&line, &seen).unwrap_or_default());
            }
        });
        Self { port, seen }
    }

    pub fn speak(&self) {
        self.seen.holding.store(false, Ordering::Release);
    }

    pub fn calls(&self) -> usize {
        self.seen.calls.load(Ordering::Acquire)
    }

    /// The letters that came, each as often as it came.
    pub fn letters(&self) -> Vec<String> {
        self.seen.letters.lock().unwrap().clone()
    }
}

fn serve(line: &TcpStream, seen: &Seen) -> io::Result<()> {
    seen.calls.fetch_add(1, Ordering::AcqRel);
    let say = |words: &str| (&*line).write_all(format!("{words}\r\n").as_bytes());
    let mut hear = BufReader::new(line).lines();
    if seen.silent {
        // Until the caller hangs up.
        return hear.next().transpose().map(drop);
    }
    say("220 relay")?;
    while let Some(command) = hear.next().transpose()? {
        match command.get(..4).unwrap_or_default() {
            "DATA" => {
                say("354 go on")?;
                let letter: io::Result<Vec<String>> =
                    hear.by_ref().take_while(|line| line.as_ref().map_or(true, |line| line != ".")).collect();
                seen.letters.lock().unwrap().push(letter?.join("\r\n"));
                while seen.holding.load(Ordering::Acquire) {
                    sleep(Duration::from_millis(5));
                }
                say("250 taken")?;
            }
            "QUIT" => return say("221 bye"),
            _ => say("250 fine")?,
        }
    }
    Ok(())
}
