//! Papers on their way in: settling, slow and strange writers, the watcher, folders that vanish.

use super::Bench;
use crate::intake::Candidate;
use crate::intake::Claim;
use crate::intake::Folder;
use crate::intake::IntakeError;
use crate::intake::Settings;
use crate::intake::WatchState;
use crate::intake::Why;
use std::fs;
use std::fs::File;
use std::io::Write as _;
use std::os::unix::fs::FileExt as _;
use std::sync::mpsc;
use std::time::Duration;

#[test]
fn two_equal_looks_a_quiet_time_apart() {
    let mut bench = Bench::new();
    bench.put("a.json", "{}");
    let first = bench.look();
    assert!(first.ready.is_empty());
    assert_eq!(first.waiting[0].why, Why::Settling);
    assert_eq!(first.next, Some(bench.now + Duration::from_secs(1)));
    bench.wait(0.9);
    assert!(bench.look().ready.is_empty());
    bench.wait(0.1);
    let ready = bench.look().ready;
    assert_eq!(ready[0].name, "a.json");
    assert_eq!(ready[0].stamp.split(':').count(), 3);
    // Handed out again until it is gone: a crash of the caller's step loses nothing.
    assert_eq!(bench.look().ready, ready);
    assert_eq!(bench.take_in_these(&ready), ["filed a.json {}"]);
    assert!(bench.look().ready.is_empty());
}

#[test]
fn rows_lie_still_longer() {
    let mut bench = Bench::with(Settings::default());
    bench.put("a.csv", "1;2}");
    assert!(bench.settle().is_empty());
    bench.wait(9.0);
    assert_eq!(bench.look().ready.len(), 1);
}

/// Promise 1: whatever way a sender writes, the whole is taken in, once.
#[test]
fn half_writers() {
    let whole =
        |log: Vec<String>| log.into_iter().filter(|line| line.starts_with("filed")).collect::<Vec<_>>();

    // Appends slowly, with pauses longer than the quiet time.
    let mut bench = Bench::new();
    let mut file = File::create(bench.drop_path("slow.json")).unwrap();
    let mut log = Vec::new();
    for part in ["{", "\"a\"", ":1", "}"] {
        file.write_all(part.as_bytes()).unwrap();
        log.extend(bench.take_in());
    }
    assert_eq!(whole(log), ["filed slow.json {\"a\":1}"]);

    // Sets the full size first, fills it afterwards.
    let file = File::create(bench.drop_path("full.json")).unwrap();
    file.set_len(3).unwrap();
    assert_eq!(bench.take_in(), ["Empty full.json"]);
    file.write_all_at(b"{", 0).unwrap();
    assert_eq!(bench.take_in(), ["CutShort full.json"]);
    file.write_all_at(b" }", 1).unwrap();
    assert_eq!(bench.take_in(), ["filed full.json { }"]);

    // Makes the name empty, then fills it.
    bench.put("empty.json", "");
    assert_eq!(bench.take_in(), ["Empty empty.json"]);
    bench.put("empty.json", "{1}");
    assert_eq!(bench.take_in(), ["filed empty.json {1}"]);

    // Renames another file over it between two looks: same name, same size, other content.
    bench.put("over.json", "{2");
    bench.look();
    fs::write(bench.path("elsewhere"), "2}").unwrap();
    fs::rename(bench.path("elsewhere"), bench.drop_path("over.json")).unwrap();
    bench.wait(1.1);
    assert!(bench.look().ready.is_empty());
    bench.wait(1.1);
    let ready = bench.look().ready;
    assert_eq!(bench.take_in_these(&ready), ["filed over.json 2}"]);
}

#[test]
fn a_modification_time_set_back_hides_nothing() {
    let mut bench = Bench::new();
    bench.put("a.json", "{1");
    let before = fs::metadata(bench.drop_path("a.json")).unwrap().modified().unwrap();
    bench.look();
    // Time stamps of the file system are coarse; a write within one tick is seen by content and second look.
    std::thread::sleep(Duration::from_millis(20));
    let file = File::options().write(true).open(bench.drop_path("a.json")).unwrap();
    file.write_all_at(b"3}", 0).unwrap();
    file.set_modified(before).unwrap();
    bench.wait(1.1);
    assert!(bench.look().ready.is_empty(), "the change time tells");
    file.set_modified(before - Duration::from_secs(1_000_000_000)).unwrap();
    assert_eq!(bench.take_in(), ["filed a.json 3}"]);
}

#[test]
fn unfinished_papers_are_tried_ever_more_rarely_until_patience_ends() {
    let mut bench = Bench::new();
    bench.put("cut.json", "{");
    let mut tries = Vec::new();
    let start = bench.now;
    for _ in 0..700 {
        let ready = bench.look().ready;
        if !ready.is_empty() {
            tries.push((bench.now - start).as_millis());
            if bench.take_in_these(&ready) == ["returned cut.json {"] {
                break;
            }
        }
        bench.wait(0.1);
    }
    assert_eq!(tries, [1_000, 3_000, 7_000, 15_000, 31_000, 60_000]);
    bench.put("broken.json", "! ");
    assert_eq!(bench.take_in(), ["Broken broken.json"]);
    assert_eq!(bench.look().waiting[0].why.to_string(), "not readable as a whole yet");
    bench.wait(2.0);
    assert_eq!(bench.take_in(), ["Broken broken.json"]);
    bench.wait(0.8);
    assert_eq!(bench.take_in(), ["returned broken.json ! "]);
    bench.put("nothing.json", "");
    assert_eq!(bench.take_in(), ["Empty nothing.json"]);
    bench.wait(3_500.0);
    assert_eq!(bench.take_in(), ["Empty nothing.json"]);
    bench.wait(100.0);
    assert_eq!(bench.take_in(), ["returned nothing.json "]);
}

#[test]
fn a_placeholder_waits_for_its_download() {
    let mut bench = Bench::new();
    bench.put("a.json", "");
    bench.put("a.x7Fq2.json.part", "{1");
    assert!(bench.settle().is_empty());
    assert_eq!(bench.look().waiting[0].why, Why::AwaitsDownload);
    fs::write(bench.drop_path("a.x7Fq2.json.part"), "{1}").unwrap();
    fs::rename(bench.drop_path("a.x7Fq2.json.part"), bench.drop_path("a.json")).unwrap();
    assert_eq!(bench.take_in(), ["filed a.json {1}"]);
}

/// Broken off between writing it and giving it its name: a whole paper lies there, and somebody has to say so.
#[test]
fn a_copy_that_never_ends_is_told_of() {
    let mut bench = Bench::new();
    bench.put("a.json.part", "{1}");
    bench.put("b.json.bak", "{2}");
    bench.put("c.tmp", "{3}");
    bench.put(".d.json.part", "{4}");
    assert!(bench.take_in().is_empty());
    bench.wait(55.0);
    assert_eq!(bench.look().waiting, []);
    bench.wait(5.0);
    let waiting = bench.look().waiting;
    let told: Vec<_> = waiting.iter().map(|waiting| (waiting.name.as_str(), &waiting.why)).collect();
    let both = [("a.json.part", &Why::UnderWay), ("c.tmp", &Why::UnderWay)];
    assert_eq!(told, both, "an editor's copy is nobody's paper");
    fs::rename(bench.drop_path("a.json.part"), bench.drop_path("a.json")).unwrap();
    fs::rename(bench.drop_path("c.tmp"), bench.drop_path("c")).unwrap();
    assert_eq!(bench.take_in(), ["filed a.json {1}", "filed c {3}"]);
    assert_eq!(bench.look().waiting, []);
}

#[test]
fn a_batch_has_its_size() {
    let mut bench = Bench::with(Settings { batch_files: 2, batch_bytes: 10, ..Settings::default() });
    for name in ["a", "b", "c", "d"] {
        bench.put(name, "{45678}");
    }
    bench.settle();
    let look = bench.look();
    assert_eq!((look.ready.len(), look.behind), (1, 3), "ten bytes hold one, and one always goes");
    assert_eq!(look.next, Some(bench.now));
    let mut log = bench.take_in();
    for _ in 0..3 {
        log.extend(bench.take_in());
    }
    assert_eq!(log.len(), 4);
}

/// What comes next can be read before its turn, and what went or changed meanwhile is not.
#[test]
fn the_next_batch_can_be_read_ahead() {
    let mut bench = Bench::with(Settings { batch_files: 2, ..Settings::default() });
    for name in ["a", "b", "c", "d", "e"] {
        bench.put(name, format!("{{{name}}}"));
    }
    bench.settle();
    let look = bench.look();
    let paths = |papers: &[Candidate]| papers.iter().map(|paper| paper.name.clone()).collect::<Vec<_>>();
    assert_eq!((paths(&look.ready), paths(&look.following)), (to_vec(&["a", "b"]), to_vec(&["c", "d"])));
    assert_eq!(look.behind, 3);
    bench.put("d", "{another}");
    let read = bench.folder.read_ahead(look.following).unwrap().read();
    assert!(
        matches!(&read[..], [Claim::Paper { bytes, .. }, Claim::Moved { .. }] if bytes == b"{c}"),
        "{read:?}"
    );
}

fn to_vec(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

/// Promise 1: an absent share is no deletion, and nothing in it grows old.
#[test]
fn a_folder_that_vanishes_is_frozen() {
    let mut bench = Bench::new();
    bench.put("cut.json", "{");
    bench.put("a.json", "{}");
    bench.look();
    let (drop, gone) = (bench.path("drop"), bench.path("gone"));
    fs::rename(&drop, &gone).unwrap();
    bench.wait(1.1);
    assert!(matches!(bench.folder.look(bench.now), Err(IntakeError::Away { source: Some(_), .. })));
    // An empty mount point is left behind.
    fs::create_dir(&drop).unwrap();
    bench.wait(3_600.0);
    let error = bench.folder.look(bench.now).unwrap_err();
    assert!(error.is_away() && error.to_string().contains("marker"), "{error}");
    fs::remove_dir(&drop).unwrap();
    fs::rename(&gone, &drop).unwrap();
    assert!(bench.look().ready.is_empty(), "the hour away was no quiet time");
    bench.wait(1.1);
    let ready = bench.look().ready;
    assert_eq!(bench.take_in_these(&ready), ["filed a.json {}", "CutShort cut.json"]);
}

#[test]
fn without_its_markers_a_folder_is_not_opened_and_it_opens_once() {
    let bench = Bench::new();
    let root = bench.dir.path().to_owned();
    let error = Folder::open(&root, Settings::default()).unwrap_err();
    assert!(error.to_string().contains("process"), "{error}");
    // Tidied away by a person: the next step takes a new lock.
    fs::remove_file(root.join(".benchdrop.lock")).unwrap();
    let mut bench = bench;
    bench.look();
    assert!(matches!(Folder::open(&root, Settings::default()), Err(IntakeError::Taken { .. })));
    drop(bench.folder);
    assert!(Folder::open(&root, Settings::default()).is_ok());
    fs::remove_file(root.join(".benchdrop")).unwrap();
    assert!(Folder::open(&root, Settings::default()).unwrap_err().is_away());
}

/// The scan is the truth: the watcher changes when, never what.
#[test]
fn the_watcher_only_wakes() {
    let scenario = |watched: bool| {
        let mut bench = Bench::new();
        let (sender, woken) = mpsc::channel();
        if watched {
            let state = bench.folder.watch(Box::new(move || sender.send(()).unwrap_or_default()));
            assert_eq!(state, WatchState::Watching);
        } else {
            assert!(matches!(bench.folder.watch_state(), WatchState::Polled(_)));
        }
        let patient = Duration::from_secs(10);
        bench.put("a.json", "{1}");
        assert!(!watched || woken.recv_timeout(patient).is_ok());
        let mut log = bench.take_in();
        fs::create_dir(bench.drop_path("tablet")).unwrap();
        assert!(!watched || woken.recv_timeout(patient).is_ok());
        bench.look();
        bench.put("tablet/b.json", "{2}");
        assert!(!watched || woken.recv_timeout(patient).is_ok());
        log.extend(bench.take_in());
        // What is left in the queue belongs to the writing above; then our own looks must not wake us.
        while woken.recv_timeout(Duration::from_millis(100)).is_ok() {}
        bench.look();
        assert!(woken.recv_timeout(Duration::from_millis(200)).is_err());
        log
    };
    let polled = scenario(false);
    assert_eq!(polled, ["filed a.json {1}", "filed tablet/b.json {2}"]);
    assert_eq!(scenario(true), polled);
}
