//! A mail relay for the tests, that answers as its script says. Plain sockets and threads, so that it shares
//! nothing with the side under test.

use crate::outbox::Relay;
use crate::outbox::Security;
use std::io::BufRead as _;
use std::io::BufReader;
use std::io::Write as _;
use std::net::TcpListener;
use std::net::TcpStream;
use std::sync::Arc;
use std::sync::Mutex;
use std::thread;
use std::time::Duration;

/// How the relay misbehaves.
#[derive(Debug, Clone, Copy)]
pub(super) enum Script {
    Accepts,
    /// Takes the connection and says nothing.
    Silent,
    /// Greets with this line, after a moment.
    Greets(&'static str),
    /// Answers the command that starts with the first text with the second.
    Answers(&'static str, &'static str),
    /// Asks for a login and answers it with this line.
    AnswersLogin(&'static str),
    /// Says 354, then hangs up.
    HangsUpAfterData,
    /// Takes the whole letter, then hangs up without a word.
    HangsUpAfterDot,
    /// Takes the whole letter and needs this long to say so.
    Slow(Duration),
    /// Takes the letter, then answers the dot with this line.
    AnswersDot(&'static str),
}

/// A running relay; its threads end with the test program.
pub(super) struct ScriptedRelay {
    port: u16,
    heard: Arc<Mutex<Heard>>,
}

#[derive(Default)]
struct Heard {
    commands: Vec<String>,
    letters: Vec<Vec<u8>>,
    kept_waiting: usize,
    most_kept_waiting: usize,
}

impl ScriptedRelay {
    pub(super) fn start(script: Script) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let port = listener.local_addr().expect("a bound port").port();
        let heard = Arc::new(Mutex::new(Heard::default()));
        let shared = Arc::clone(&heard);
        thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                let heard = Arc::clone(&shared);
                // A broken line ends the conversation; the test looks at what was heard.
                thread::spawn(move || converse(&stream, script, &heard).ok());
            }
        });
        Self { port, heard }
    }

    /// The way to it, with short patience.
    pub(super) fn relay(&self) -> Relay {
        Relay {
            connect_timeout: Duration::from_secs(1),
            after_dot_timeout: Duration::from_secs(1),
            ..Relay::new("127.0.0.1", self.port, Security::PlainLoopback)
        }
    }

    pub(super) fn commands(&self) -> Vec<String> {
        self.heard.lock().expect("no panic in the relay").commands.clone()
    }

    /// The letters taken whole, as sent on the line without the final dot.
    pub(super) fn letters(&self) -> Vec<Vec<u8>> {
        self.heard.lock().expect("no panic in the relay").letters.clone()
    }

    /// The largest number of letters that this relay kept waiting at one time.
    pub(super) fn most_kept_waiting(&self) -> usize {
        self.heard.lock().expect("no panic in the relay").most_kept_waiting
    }
}

/// Keeps the other side waiting. It is counted only while it must be waiting, so the count is never too high.
fn keep_waiting(heard: &Mutex<Heard>, time: Duration) {
    let mut now = heard.lock().expect("no panic in the relay");
    now.kept_waiting += 1;
    now.most_kept_waiting = now.most_kept_waiting.max(now.kept_waiting);
    drop(now);
    thread::sleep(time);
    heard.lock().expect("no panic in the relay").kept_waiting -= 1;
}

fn converse(mut out: &TcpStream, script: Script, heard: &Mutex<Heard>) -> std::io::Result<()> {
    let mut lines = BufReader::new(out);
    let mut say = |line: &str| out.write_all(format!("{line}\r\n").as_bytes());
    if matches!(script, Script::Silent) {
        thread::sleep(Duration::from_secs(20));
    }
    if let Script::Greets(line) = script {
        keep_waiting(heard, Duration::from_millis(100));
        say(line)?;
    } else {
        say("220 scripted")?;
    }
    loop {
        let mut command = String::new();
        if lines.read_line(&mut command)? == 0 {
            return Ok(());
        }
        let command = command.trim_end().to_owned();
        heard.lock().expect("no panic in the relay").commands.push(command.clone());
        match (script, command.split([' ', ':']).next().unwrap_or_default()) {
            (Script::Answers(which, line), _) if command.starts_with(which) => say(line)?,
            (Script::AnswersLogin(line), "AUTH") => say(line)?,
            (Script::AnswersLogin(_), "EHLO") => say("250-scripted\r\n250 AUTH PLAIN")?,
            (_, "QUIT") => return say("221 bye"),
            (Script::HangsUpAfterData, "DATA") => return say("354 go on"),
            (_, "DATA") => {
                say("354 go on")?;
                let letter = read_letter(&mut lines)?;
                heard.lock().expect("no panic in the relay").letters.push(letter);
                if matches!(script, Script::HangsUpAfterDot) {
                    return Ok(());
                }
                if let Script::Slow(wait) = script {
                    keep_waiting(heard, wait);
                }
                say(if let Script::AnswersDot(line) = script { line } else { "250 taken" })?;
            }
            _ => say("250 ok")?,
        }
    }
}

fn read_letter(lines: &mut BufReader<&TcpStream>) -> std::io::Result<Vec<u8>> {
    let mut letter = Vec::new();
    loop {
        let mut line = Vec::new();
        if lines.read_until(b'\n', &mut line)? == 0 {
            return Err(std::io::ErrorKind::UnexpectedEof.into());
        }
        if line == b".\r\n" {
            return Ok(letter);
        }
        letter.extend_from_slice(line.strip_prefix(b".").unwrap_or(&line));
    }
}
