//! `lope start` and `lope rule`: the first command a player types, and the pages behind the findings.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;

use lope_tests::book::Book;
use serde_json::Value;

#[test]
fn a_book_is_written_checked_and_introduced() {
    let place = Book::new();
    let out = place.run(&["start", "harbour"]).expect(0);
    assert!(place.path("harbour/lope.toml").is_file());
    assert!(fs::read_dir(place.path("harbour")).unwrap().count() >= 9, "a configuration and eight tunes");
    assert!(out.contains("Mind the Wet Step\n"), "a tune that stumbles on purpose is told of:\n{out}");
    for expected in ["warning off-strike, harbour/", "lope mend --show harbour\n", "`lope lsp`"] {
        assert!(out.contains(expected), "{expected}\nnot in\n{out}");
    }
    let checked = place.run(&["check", "harbour"]).expect(1);
    assert!(out.starts_with(&checked), "it says what a check says");
}

/// What the book promises: its trouble can be put right, and then the rest is good music.
#[test]
fn once_mended_the_book_has_no_warning() {
    let place = Book::new();
    place.run(&["start", "harbour"]).expect(0);
    place.run(&["mend", "harbour"]).expect(0);
    place.run(&["check", "harbour"]).expect(0);
}

#[test]
fn nothing_that_is_there_is_touched_and_nothing_is_written_beside_it() {
    let place = Book::of(&[("harbour/mind-the-wet-step.lope", "mine\n")]);
    let ran = place.run(&["start", "harbour"]);
    assert_eq!((ran.code(), ran.out.as_str()), (2, ""));
    assert_eq!(
        ran.err,
        "lope: harbour/mind-the-wet-step.lope: is there already; nothing was written: choose another folder\n"
    );
    assert_eq!(place.read("harbour/mind-the-wet-step.lope"), "mine\n");
    assert_eq!(fs::read_dir(place.path("harbour")).unwrap().count(), 1);

    // A link that leads nowhere is there, too.
    std::os::unix::fs::symlink("nowhere", place.path("dangling")).unwrap();
    fs::create_dir(place.path("linked")).unwrap();
    std::os::unix::fs::symlink("../outside.toml", place.path("linked/lope.toml")).unwrap();
    assert_eq!(place.run(&["start", "linked"]).code(), 2);
    assert!(!place.path("outside.toml").exists());
}

#[test]
fn a_second_start_says_how_much_is_there() {
    let place = Book::new();
    place.run(&["start", "harbour"]).expect(0);
    let ran = place.run(&["start", "harbour"]);
    assert_eq!(ran.code(), 2);
    assert!(ran.err.starts_with("lope: harbour/lope.toml: is there already, and so are "), "{ran:?}");
}

#[test]
fn a_file_in_the_place_of_the_folder_is_told_of() {
    let place = Book::of(&[("harbour", "mine\n")]);
    let ran = place.run(&["start", "harbour"]);
    assert_eq!(ran.code(), 2);
    assert!(ran.err.starts_with("lope: harbour"), "{ran:?}");
    assert_eq!(place.read("harbour"), "mine\n");
}

#[test]
fn every_rule_of_the_list_has_its_page() {
    let place = Book::new();
    let list = place.run(&["rule"]).expect(0);
    let rules = list.lines().filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
    let mut count = 0;
    for rule in rules {
        let page = place.run(&["rule", rule]).expect(0);
        assert!(page.starts_with(&format!("{rule} (")), "{page}");
        assert!(page.lines().all(|line| line.chars().count() <= 100), "{page}");
        count += 1;
    }
    assert!(count > 20, "{list}");
}

#[test]
fn a_rule_nobody_knows_is_met_with_the_nearest() {
    let place = Book::new();
    for (asked, answer) in [
        ("off-strik", "lope: there is no rule `off-strik`; did you mean `off-strike`?\n"),
        ("kazoo", "lope: there is no rule `kazoo`; `lope rule` lists them all\n"),
    ] {
        let ran = place.run(&["rule", asked]);
        assert_eq!((ran.code(), ran.err.as_str()), (2, answer));
    }
}

#[test]
fn the_schema_is_the_one_in_the_repository() {
    let printed: Value = serde_json::from_str(&Book::new().run(&["rule", "--schema"]).expect(0)).unwrap();
    let kept = fs::read_to_string(lope_tests::program::root().join("server/lope.schema.json")).unwrap();
    assert_eq!(printed, serde_json::from_str::<Value>(&kept).unwrap());
}
