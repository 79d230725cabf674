//! A mail relay that goes wrong at one point of the conversation, in every way a relay can, until it is healed.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use std::io::{self, BufRead as _, BufReader, ErrorKind, Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::sleep;
use std::time::Duration;

/// What the relay answers to, in the order of a conversation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    Greeting,
    Hello,
    StartTls,
    Login,
    Sender,
    Recipient,
    Data,
    /// The first line of the letter; there is no answer to it.
    Text,
    Dot,
    Goodbye,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Not a word; hangs on until the other side gives up.
    Silence,
    Cut,
    /// Half of an answer, then the line is cut.
    HalfAnswer,
    Says(&'static str),
    Bytes(&'static [u8]),
    /// The same over and over.
    Endless(&'static str),
    /// The right answer, a byte every so many milliseconds.
    Drip(u64),
}

#[derive(Clone, Copy, Debug)]
pub struct Ill {
    pub phase: Phase,
    pub fault: Fault,
    /// Only towards this recipient; towards everybody without.
    pub only: Option<&'static str>,
}

/// One letter that came in whole.
#[derive(Clone, Debug)]
pub struct Receipt {
    pub recipient: String,
    pub text: Vec<u8>,
    /// The relay said that it has taken it.
    pub said_taken: bool,
    /// The other side said goodbye after that, so it has heard it.
    pub was_heard: bool,
}

#[derive(Default)]
struct Shared {
    ill: Mutex<Option<Ill>>,
    calls: AtomicUsize,
    faults: AtomicUsize,
    /// Senders and recipients named, passwords given: what must not be said in the clear.
    told: AtomicUsize,
    receipts: Mutex<Vec<Receipt>>,
}

pub struct HostileRelay {
    pub port: u16,
    shared: Arc<Shared>,
}

impl HostileRelay {
    pub fn start(ill: Ill) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let shared = Arc::new(Shared { ill: Mutex::new(Some(ill)), ..Shared::default() });
        let own = Arc::clone(&shared);
        std::thread::spawn(move || {
            for line in listener.incoming().map_while(Result::ok) {
                let shared = Arc::clone(&own);
                // A caller that hangs up in the middle is the caller's business.
                std::thread::spawn(move || Talk::new(&line, &shared).serve().unwrap_or_default());
            }
        });
        Self { port, shared }
    }

    pub fn heal(&self) {
        *self.shared.ill.lock().unwrap() = None;
    }

    pub fn calls(&self) -> usize {
        self.shared.calls.load(Ordering::Acquire)
    }

    /// How often it has gone wrong.
    pub fn faults(&self) -> usize {
        self.shared.faults.load(Ordering::Acquire)
    }

    pub fn told(&self) -> usize {
        self.shared.told.load(Ordering::Acquire)
    }

    pub fn receipts(&self) -> Vec<Receipt> {
        self.shared.receipts.lock().unwrap().clone()
    }
}

struct Talk<'a> {
    line: &'a TcpStream,
    hear: BufReader<&'a TcpStream>,
    shared: &'a Shared,
    ill: Option<Ill>,
    recipient: String,
}

/// The conversation is over.
fn over() -> io::Error {
    ErrorKind::ConnectionAborted.into()
}

impl<'a> Talk<'a> {
    fn new(line: &'a TcpStream, shared: &'a Shared) -> Self {
        let ill = *shared.ill.lock().unwrap();
        Self { line, hear: BufReader::new(line), shared, ill, recipient: String::new() }
    }

    fn serve(&mut self) -> io::Result<()> {
        self.shared.calls.fetch_add(1, Ordering::AcqRel);
        self.answer(Phase::Greeting, "220 relay\r\n")?;
        let mut receipt = None;
        loop {
            let command = self.hear_line()?;
            let command = String::from_utf8_lossy(&command).trim_end().to_owned();
            match command.split([' ', ':']).next().unwrap_or_default() {
                "EHLO" | "HELO" => drop(self.answer(Phase::Hello, self.hello())?),
                "STARTTLS" => drop(self.answer(Phase::StartTls, "454 not today\r\n")?),
                "AUTH" => drop(self.told(Phase::Login, "235 come in\r\n")?),
                "MAIL" => drop(self.told(Phase::Sender, "250 fine\r\n")?),
                "RCPT" => {
                    self.recipient = command.trim_start_matches("RCPT TO:<").trim_end_matches('>').to_owned();
                    self.told(Phase::Recipient, "250 fine\r\n")?;
                }
                "DATA" => {
                    if self.answer(Phase::Data, "354 go on\r\n")? {
                        receipt = Some(self.take_letter()?);
                    }
                }
                "QUIT" => {
                    if let Some(index) = receipt {
                        let mut receipts = self.shared.receipts.lock().unwrap();
                        receipts[index].was_heard = receipts[index].said_taken;
                    }
                    self.answer(Phase::Goodbye, "221 bye\r\n")?;
                    return Ok(());
                }
                _ => self.say("500 what?\r\n")?,
            }
        }
    }

    fn hello(&self) -> &'static str {
        match self.ill {
            Some(Ill { phase: Phase::StartTls, .. }) => "250-relay\r\n250 STARTTLS\r\n",
            _ => "250-relay\r\n250 AUTH PLAIN\r\n",
        }
    }

    fn told(&mut self, phase: Phase, right: &str) -> io::Result<bool> {
        self.shared.told.fetch_add(1, Ordering::AcqRel);
        self.answer(phase, right)
    }

    /// Gives the place of its receipt.
    fn take_letter(&mut self) -> io::Result<usize> {
        let mut text = self.hear_line()?;
        let early = self.is_ill(Phase::Text);
        if early {
            self.answer(Phase::Text, "")?;
        }
        while !text.ends_with(b"\r\n.\r\n") {
            text.extend(self.hear_line()?);
        }
        let index = {
            let mut receipts = self.shared.receipts.lock().unwrap();
            let recipient = self.recipient.clone();
            receipts.push(Receipt { recipient, text, said_taken: false, was_heard: false });
            receipts.len() - 1
        };
        // Who has answered in the middle of the letter has answered.
        let taken = !early && self.answer(Phase::Dot, "250 taken\r\n")?;
        self.shared.receipts.lock().unwrap()[index].said_taken = taken;
        Ok(index)
    }

    fn hear_line(&mut self) -> io::Result<Vec<u8>> {
        let mut line = Vec::new();
        if self.hear.read_until(b'\n', &mut line)? == 0 { Err(over()) } else { Ok(line) }
    }

    fn say(&mut self, words: &str) -> io::Result<()> {
        self.line.write_all(words.as_bytes())
    }

    fn is_ill(&self, phase: Phase) -> bool {
        self.ill.is_some_and(|ill| ill.phase == phase && ill.only.is_none_or(|only| only == self.recipient))
    }

    /// Answers as it should, or goes wrong. Was the right answer given?
    fn answer(&mut self, phase: Phase, right: &str) -> io::Result<bool> {
        let Some(fault) = self.ill.filter(|_| self.is_ill(phase)).map(|ill| ill.fault) else {
            self.say(right)?;
            return Ok(true);
        };
        self.shared.faults.fetch_add(1, Ordering::AcqRel);
        match fault {
            Fault::Silence => {
                self.hear.read_to_end(&mut Vec::new())?;
                return Err(over());
            }
            Fault::Cut => return Err(over()),
            Fault::HalfAnswer => {
                self.say(right.get(..2).unwrap_or_default())?;
                return Err(over());
            }
            Fault::Says(words) => {
                self.say(&format!("{words}\r\n"))?;
                if words.starts_with("421") {
                    return Err(over());
                }
            }
            Fault::Bytes(bytes) => self.line.write_all(bytes)?,
            Fault::Endless(words) => loop {
                self.say(&words.repeat(1_000))?;
            },
            Fault::Drip(pause) => {
                for byte in right.as_bytes() {
                    self.line.write_all(&[*byte])?;
                    sleep(Duration::from_millis(pause));
                }
                return Ok(true);
            }
        }
        Ok(false)
    }
}
