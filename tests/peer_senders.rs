//! The programs that people really send files with, against the running service: a share over SMB, scp, rsync, a
//! browser's download, and a copy over a slow line. Each file is taken in once and whole. Guards promises 1 and 2.
//!
//! Every server is started here on loopback, on a free port, and ended with the test.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/browser.rs"]
mod browser;
#[path = "support/gate.rs"]
mod gate;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use benchdrop::clock::{Clock as _, SystemClock};
use benchdrop::facts::Digest;
use benchdrop::ledger::Outcome;
use browser::Browser;
use process::{Daemon, Shop, free_port, some_days_ago};
use script::{Paper, engine, shop};
use std::collections::BTreeSet;
use std::fs;
use std::io::{Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::Duration;
use tempfile::TempDir;

/// Engines sent by each sender, three papers each.
const ENGINES: usize = 12;

/// A shop at work, and what a sender is to bring.
struct Bench {
    shop: Shop,
    service: Daemon,
    outgoing: TempDir,
    papers: Vec<Paper>,
}

impl Bench {
    fn open() -> Self {
        let begin = some_days_ago();
        // Patient enough for a sender that writes in several strokes, as the real default is.
        let bench = Shop::empty();
        bench.set("settle-seconds = 0.05", "settle-seconds = 0.5");
        bench.set("grace-seconds = 0.5", "grace-seconds = 30.0");
        bench.drop_in(&shop(begin));
        let service = bench.run();
        bench.wait_for_arrivals(shop(begin).len());
        let papers: Vec<Paper> =
            (0..ENGINES).flat_map(|n| engine(begin, &format!("25-{:03}", n + 1))).collect();
        let outgoing = TempDir::new().unwrap();
        for paper in &papers {
            fs::write(outgoing.path().join(&paper.name), &paper.bytes).unwrap();
        }
        Self { shop: bench, service, outgoing, papers }
    }

    fn drop_folder(&self) -> PathBuf {
        self.shop.watch_folder().join("drop")
    }

    /// The files to send.
    fn files(&self) -> Vec<PathBuf> {
        self.papers.iter().map(|paper| self.outgoing.path().join(&paper.name)).collect()
    }

    /// Every file arrived once, was filed, and the ledger has its very bytes; then the service ends cleanly.
    fn all_arrived(self, sender: &str) {
        let first = shop(some_days_ago()).len();
        self.shop.wait_for_arrivals(first + self.papers.len());
        self.shop.wait_for_rest();
        self.shop.ends_cleanly(self.service);
        let ledger = self.shop.ledger();
        let arrivals = ledger.arrivals(10_000).unwrap();
        let sent: BTreeSet<Digest> = self.papers.iter().map(|paper| Digest::of(&paper.bytes)).collect();
        let filed: Vec<Digest> =
            arrivals.iter().filter(|a| a.outcome == Outcome::Filed).filter_map(|a| a.hash).collect();
        let lost = sent.iter().filter(|hash| !filed.contains(hash)).count();
        let doubled = filed.len() - filed.iter().collect::<BTreeSet<_>>().len();
        let others: Vec<_> = arrivals.iter().filter(|a| a.outcome != Outcome::Filed).collect();
        assert_eq!((lost, doubled, others.len()), (0, 0, 0), "{sender}: {others:#?}\n{}", self.shop.log());
        for paper in &self.papers {
            let kept = ledger.bytes_of(&Digest::of(&paper.bytes)).unwrap();
            assert_eq!(kept.as_deref(), Some(paper.bytes.as_slice()), "{sender}: {}", paper.name);
        }
        gate::report(sender, &[("papers", sent.len() as u64)], lost as u64, doubled as u64, 0);
    }
}

/// A server of somebody else's, ended with the test.
struct Server(Child);

impl Server {
    /// Starts it and waits until it answers on its port.
    fn start(command: &mut Command, port: u16) -> Self {
        let null = || Stdio::null();
        let child = command.stdin(null()).stdout(null()).stderr(null()).spawn();
        let mut server =
            Self(child.unwrap_or_else(|error| panic!("{command:?}: {error}; tests/run installs it")));
        let clock = SystemClock::new();
        while TcpStream::connect(("127.0.0.1", port)).is_err() {
            assert!(server.0.try_wait().unwrap().is_none(), "{command:?} ended at once");
            assert!(clock.since_start() < process::LIMIT, "{command:?} does not answer");
            sleep(Duration::from_millis(20));
        }
        server
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may be gone already.
        self.0.kill().unwrap_or_default();
        drop(self.0.wait());
    }
}

fn ran(command: &mut Command) {
    let output = command.stdin(Stdio::null()).output();
    let output = output.unwrap_or_else(|error| panic!("{command:?}: {error}; tests/run installs it"));
    assert!(output.status.success(), "{command:?}: {}", String::from_utf8_lossy(&output.stderr));
}

fn user() -> String {
    let output = Command::new("id").arg("-un").output().unwrap();
    String::from_utf8(output.stdout).unwrap().trim().to_owned()
}

/// A tablet's or an office machine's copy to the share.
#[test]
#[ignore = "needs Samba; tests/run runs it"]
fn over_a_share() {
    let bench = Bench::open();
    let (dir, port) = (TempDir::new().unwrap(), free_port());
    let at = dir.path().display();
    let settings = format!(
        "[global]\nserver role = standalone server\nmap to guest = bad user\nguest account = {user}\n\
         interfaces = lo\nbind interfaces only = yes\nsmb ports = {port}\ndisable netbios = yes\n\
         load printers = no\nprinting = bsd\nprivate dir = {at}/private\nlock directory = {at}/lock\n\
         state directory = {at}/state\ncache directory = {at}/cache\npid directory = {at}\nncalrpc dir = {at}/rpc\n\
         log file = {at}/log\n[drop]\npath = {drop}\nguest ok = yes\nread only = no\n",
        user = user(),
        drop = bench.drop_folder().display(),
    );
    let configuration = dir.path().join("smb.conf");
    fs::write(&configuration, settings).unwrap();
    for folder in ["private", "lock", "state", "cache", "rpc"] {
        fs::create_dir(dir.path().join(folder)).unwrap();
    }
    let mut smbd = Command::new("/usr/sbin/smbd");
    smbd.args(["--foreground", "--no-process-group", "--debuglevel=0"]);
    smbd.arg(format!("--configfile={}", configuration.display()));
    let _server = Server::start(&mut smbd, port);
    // One session for half of them, a session each for the rest.
    let (together, apart) = bench.papers.split_at(bench.papers.len() / 2);
    let send = |papers: &[Paper]| {
        let puts: String = papers.iter().map(|paper| format!("put \"{0}\" \"{0}\"; ", paper.name)).collect();
        ran(Command::new("smbclient").current_dir(bench.outgoing.path()).args([
            "//127.0.0.1/drop",
            "--no-pass",
            "--debuglevel=0",
            "-p",
            &port.to_string(),
            "-c",
            &puts,
        ]));
    };
    send(together);
    apart.iter().for_each(|paper| send(std::slice::from_ref(paper)));
    bench.all_arrived("senders: a share (smbclient)");
}

/// From a laptop with scp.
#[test]
#[ignore = "needs an SSH server; tests/run runs it"]
fn by_scp() {
    let bench = Bench::open();
    let (dir, port) = (TempDir::new().unwrap(), free_port());
    let at = |name: &str| dir.path().join(name);
    for key in ["host", "person"] {
        ran(Command::new("ssh-keygen").args(["-q", "-t", "ed25519", "-N", "", "-f"]).arg(at(key)));
    }
    let settings = format!(
        "Port {port}\nListenAddress 127.0.0.1\nHostKey {}\nAuthorizedKeysFile {}\nStrictModes no\nUsePAM no\n\
         PasswordAuthentication no\nPermitRootLogin prohibit-password\nPidFile none\nSubsystem sftp internal-sftp\n",
        at("host").display(),
        at("person.pub").display()
    );
    fs::write(at("sshd_config"), settings).unwrap();
    // Where it locks itself into; a fresh machine has none until its own service has run.
    fs::create_dir_all("/run/sshd").unwrap_or_default();
    let mut sshd = Command::new("/usr/sbin/sshd");
    let _server = Server::start(sshd.args(["-D", "-f"]).arg(at("sshd_config")), port);
    let mut scp = Command::new("scp");
    scp.args([
        "-q",
        "-o",
        "StrictHostKeyChecking=no",
        "-o",
        "UserKnownHostsFile=/dev/null",
        "-o",
        "LogLevel=ERROR",
    ]);
    scp.arg("-i").arg(at("person")).args(["-P", &port.to_string()]);
    ran(scp.args(bench.files()).arg(format!("{}@127.0.0.1:{}", user(), bench.drop_folder().display())));
    bench.all_arrived("senders: scp");
}

/// A machine that pushes its folder again and again: what was sent before is not there any more, so rsync sends it
/// anew, and it is a copy.
#[test]
#[ignore = "needs rsync; tests/run runs it"]
fn by_rsync() {
    let bench = Bench::open();
    let (dir, port) = (TempDir::new().unwrap(), free_port());
    let settings = format!(
        "port = {port}\naddress = 127.0.0.1\nuse chroot = no\n[drop]\npath = {}\nread only = no\nuid = {}\ngid = *\n",
        bench.drop_folder().display(),
        user()
    );
    let configuration = dir.path().join("rsyncd.conf");
    fs::write(&configuration, settings).unwrap();
    let mut daemon = Command::new("rsync");
    daemon.args(["--daemon", "--no-detach"]).arg(format!("--config={}", configuration.display()));
    let _server = Server::start(&mut daemon, port);
    let push = |more: &[&str]| {
        let from = format!("{}/", bench.outgoing.path().display());
        ran(Command::new("rsync")
            .arg("-rt")
            .args(more)
            .arg(from)
            .arg(format!("rsync://127.0.0.1:{port}/drop/")));
    };
    // In place, as for a slow line: the final name is there while its content still comes.
    push(&["--inplace", "--bwlimit=200"]);
    bench.shop.wait_for_arrivals(shop(some_days_ago()).len() + bench.papers.len());
    let counts = |bench: &Bench| bench.shop.ledger().fold_counts().unwrap().drops;
    let before = counts(&bench);
    push(&[]);
    bench.shop.wait_for_arrivals(shop(some_days_ago()).len() + 2 * bench.papers.len());
    bench.shop.wait_for_rest();
    assert_eq!(counts(&bench), before, "the same papers again are copies");
    let copies = bench.shop.ledger().arrivals(10_000).unwrap();
    let copies = copies.iter().filter(|arrival| arrival.outcome == Outcome::Copy).count();
    assert_eq!(copies, bench.papers.len());
    bench.shop.ends_cleanly(bench.service);
    gate::report(
        "senders: rsync",
        &[("papers", bench.papers.len() as u64), ("copies", copies as u64)],
        0,
        0,
        0,
    );
}

/// Saved from a page into the drop folder, over a line that stalls in the middle of each file.
#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn by_a_browsers_download() {
    let mut bench = Bench::open();
    bench.papers.truncate(6);
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port();
    let papers = bench.papers.clone();
    std::thread::spawn(move || {
        for stream in listener.incoming().map_while(Result::ok) {
            let papers = papers.clone();
            std::thread::spawn(move || serve(stream, &papers));
        }
    });
    let browser = Browser::start_saving_into(&bench.drop_folder());
    browser.open_address(&format!("http://127.0.0.1:{port}/"));
    for n in 0..bench.papers.len() {
        browser.click(&format!("//a[@href='/{n}']"));
        bench.shop.wait_until("a download", || bench.shop.n_arrivals() > shop(some_days_ago()).len() + n);
    }
    bench.all_arrived("senders: a browser's download");
}

/// Half a file, a pause longer than the settle time, the rest.
fn serve(mut stream: TcpStream, papers: &[Paper]) {
    let mut request = [0; 4096];
    let n = stream.read(&mut request).unwrap_or_default();
    let request = String::from_utf8_lossy(&request[..n]);
    let path = request.split_whitespace().nth(1).unwrap_or("/").trim_start_matches('/').to_owned();
    let head = |kind: &str, length: usize, more: &str| {
        format!(
            "HTTP/1.1 200 OK\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\nConnection: close\r\n{more}\r\n"
        )
    };
    let Some(paper) = path.parse().ok().and_then(|n: usize| papers.get(n)) else {
        let links: String =
            (0..papers.len()).map(|n| format!("<p><a href='/{n}' download>{n}</a>")).collect();
        let page = format!("{}{links}", head("text/html", links.len(), ""));
        return stream.write_all(page.as_bytes()).unwrap_or_default();
    };
    let more = format!("Content-Disposition: attachment; filename=\"{}\"\r\n", paper.name);
    let (first, rest) = paper.bytes.split_at(paper.bytes.len() / 2);
    // A browser that goes away ends the serving, nothing else.
    let sent = stream
        .write_all(head("application/json", paper.bytes.len(), &more).as_bytes())
        .and_then(|()| stream.write_all(first))
        .and_then(|()| stream.flush());
    sleep(Duration::from_millis(1_200));
    sent.and_then(|()| stream.write_all(rest)).unwrap_or_default();
}

/// An SMB or network copy over a bad line, by hand: the name is there at once, its content comes in strokes with
/// pauses, some longer than the settle time; times are set back at the end as copy tools do.
#[test]
#[ignore = "takes a while; tests/run runs it"]
fn by_a_copy_in_strokes() {
    let bench = Bench::open();
    let write = |paper: &Paper, strokes: usize, pause: u64| {
        let path = bench.drop_folder().join(&paper.name);
        let mut file = fs::File::create(&path).unwrap();
        for part in paper.bytes.chunks(paper.bytes.len().div_ceil(strokes)) {
            sleep(Duration::from_millis(pause));
            file.write_all(part).unwrap();
        }
        set_back(&path);
    };
    std::thread::scope(|scope| {
        for (n, papers) in bench.papers.chunks(6).enumerate() {
            scope.spawn(move || {
                papers.iter().for_each(|paper| write(paper, 2 + n, [20, 150, 700, 900, 300, 60][n % 6]));
            });
        }
    });
    bench.all_arrived("senders: a copy in strokes");
}

/// The source's own time, a year ago.
fn set_back(path: &Path) {
    ran(Command::new("touch").args(["-d", "2025-11-26 12:00:00"]).arg(path));
}
