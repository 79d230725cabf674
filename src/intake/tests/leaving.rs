//! Papers on their way out: places, slips, collisions, failures, and the second look.

use super::Bench;
use crate::facts::Digest;
use crate::intake::Filed;
use crate::intake::IntakeError;
use crate::intake::Why;
use std::fs;
use std::fs::File;
use std::io::Write as _;
use std::time::Duration;

#[test]
fn places_are_plain() {
    let mut bench = Bench::new();
    fs::create_dir(bench.drop_path("tablet")).unwrap();
    bench.put("tablet/bore 1 é.json", "{}");
    let paper = bench.settle().remove(0);
    let hash = Digest::of(b"{}");
    let place = bench.folder.place_for("2026-11-25", "084501", &paper, Some(&hash), false);
    assert_eq!(place, format!("filed/2026-11-25/084501-{}-bore_1__.json", hash.short()));
    let place = bench.folder.place_for("2026-11-25", "084501", &paper, None, true);
    assert_eq!(place, "returned/2026-11-25/084501-unread-bore_1__.json");
    for outside in
        ["filed", "filed/", "drop/x", "/filed/x", "filed/../x", "filed//x", "filed/.x/y", "filed/a b", ""]
    {
        assert!(matches!(bench.file(&paper, None, outside), Err(IntakeError::Place { .. })), "{outside}");
    }
    assert!(bench.drop_path("tablet/bore 1 é.json").exists());
}

#[test]
fn nothing_is_overwritten() {
    let mut bench = Bench::new();
    for number in 1..=3 {
        bench.put(&format!("{number}.json"), format!("{{{number}}}"));
    }
    let papers = bench.settle();
    let places: Vec<_> =
        papers.iter().map(|paper| bench.file(paper, None, "filed/d/x.json").unwrap()).collect();
    let at = |place: &str| Filed::At(place.to_owned());
    assert_eq!(places, [at("filed/d/x.json"), at("filed/d/x-2.json"), at("filed/d/x-3.json")]);
    assert_eq!(bench.text("filed/d/x-2.json"), "{2}");
}

#[test]
fn a_slip_lies_beside_its_paper_and_an_earlier_try_is_found_again() {
    let mut bench = Bench::new();
    bench.put("a.json", "{1");
    bench.put("b.json", "{2");
    let papers = bench.settle();
    // A crash between slip and paper leaves the slip, and the temporary one of the crash before.
    fs::create_dir_all(bench.path("returned/d")).unwrap();
    fs::write(bench.path("returned/d/x.json.slip.txt"), "bad\n").unwrap();
    fs::write(bench.path("returned/d/.slip.tmp"), "half a slip that is longer").unwrap();
    let at = |place: &str| Filed::At(place.to_owned());
    assert_eq!(bench.file(&papers[0], Some("bad\n"), "returned/d/x.json").unwrap(), at("returned/d/x.json"));
    assert_eq!(
        bench.file(&papers[1], Some("worse\n"), "returned/d/x.json").unwrap(),
        at("returned/d/x-2.json")
    );
    assert_eq!(bench.text("returned/d/x.json.slip.txt"), "bad\n");
    assert_eq!(bench.text("returned/d/x-2.json.slip.txt"), "worse\n");
    assert!(!bench.path("returned/d/.slip.tmp").exists());
    // A slip of other words under the wanted name is left alone.
    bench.put("c.json", "{3");
    fs::write(bench.path("returned/d/y.json.slip.txt"), "somebody's").unwrap();
    let paper = bench.settle().remove(0);
    assert_eq!(bench.file(&paper, Some("bad\n"), "returned/d/y.json").unwrap(), at("returned/d/y-2.json"));
    assert_eq!(bench.text("returned/d/y.json.slip.txt"), "somebody's");
}

#[test]
fn what_was_replaced_after_reading_is_not_filed() {
    let mut bench = Bench::new();
    bench.put("a.json", "{1}");
    bench.put("b.json", "{2}");
    let papers = bench.settle();
    assert_eq!(bench.folder.claim(&papers).len(), 2);
    bench.put("new", "{new}");
    fs::rename(bench.drop_path("new"), bench.drop_path("a.json")).unwrap();
    fs::remove_file(bench.drop_path("b.json")).unwrap();
    assert_eq!(bench.file(&papers[0], None, "filed/d/a.json").unwrap(), Filed::Overtaken);
    assert_eq!(bench.file(&papers[1], None, "filed/d/b.json").unwrap(), Filed::Overtaken);
    assert_eq!(bench.take_in(), ["filed a.json {new}"]);
}

#[test]
fn a_paper_that_cannot_be_moved_is_tried_again_slowly() {
    let mut bench = Bench::new();
    bench.put("a.json", "{1}");
    let papers = bench.settle();
    fs::remove_dir(bench.path("filed")).unwrap();
    fs::write(bench.path("filed"), "not a folder").unwrap();
    let error = bench.file(&papers[0], None, "filed/d/a.json").unwrap_err();
    assert!(matches!(error, IntakeError::Move { .. }), "{error}");
    let look = bench.look();
    assert!(look.ready.is_empty());
    assert!(matches!(look.waiting[0].why, Why::CannotFile(_)));
    assert_eq!(look.next, Some(bench.now + Duration::from_secs(30)));
    fs::remove_file(bench.path("filed")).unwrap();
    bench.wait(30.0);
    assert_eq!(bench.take_in(), ["filed a.json {1}"]);
}

/// Promise 1: what a sender writes on through its open handle is taken in.
#[test]
fn a_filed_paper_that_grew_comes_back() {
    let mut bench = Bench::new();
    bench.put("tidy.json", "{0}");
    let mut file = File::create(bench.drop_path("a.json")).unwrap();
    file.write_all(b"{1}").unwrap();
    let touched = File::create(bench.drop_path("touched.json")).unwrap();
    (&touched).write_all(b"{2}").unwrap();
    assert_eq!(bench.take_in().len(), 3);
    file.write_all(b",{2}").unwrap();
    touched.set_modified(std::time::UNIX_EPOCH).unwrap();
    bench.wait(59.0);
    assert!(bench.folder.relook(bench.now).is_empty());
    assert_eq!(bench.look().next, Some(bench.now + Duration::from_secs(1)));
    bench.wait(1.0);
    let back: Vec<_> = bench.folder.relook(bench.now).into_iter().map(Result::unwrap).collect();
    assert_eq!(back, ["again-a.json"]);
    assert_eq!(bench.take_in(), ["filed again-a.json {1},{2}"]);
    file.write_all(b",{3}").unwrap();
    bench.wait(60.0);
    assert_eq!(bench.folder.relook(bench.now).remove(0).unwrap(), "again-a.json");
}

#[test]
fn a_second_look_missed_by_a_stop_is_made_up_for() {
    let mut bench = Bench::new();
    fs::create_dir_all(bench.path("filed/d")).unwrap();
    fs::write(bench.path("filed/d/084501-0123456789-a.json"), "{1},{2}").unwrap();
    bench.folder.remember_filed(
        "filed/d/084501-0123456789-a.json",
        "1:2:3",
        Some(Digest::of(b"{1}")),
        bench.now,
    );
    bench.folder.remember_filed("filed/d/gone.json", "1:2:3", None, bench.now);
    bench.wait(60.0);
    let back: Vec<_> = bench.folder.relook(bench.now).into_iter().map(Result::unwrap).collect();
    assert_eq!(back, ["again-a.json"]);
    assert_eq!(bench.folder.relook(bench.now).len(), 0);
}
