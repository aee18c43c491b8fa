//! `lope mend`: what it writes, and what it leaves alone.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::{fs, io::Write};

use lope_tests::book::Book;
use lope_tests::program::run_with;

/// Two third notes of a group hammered on, each of which has a safe mend.
const MENDABLE: &str =
    "tune: Two Slips\nmeter: 6/8\n\npart A\n| 2:0 t h1  1:0 t 1:0 | 1:0 t h2  1:0 t 1:0 |\n";
const MENDED: &str =
    "tune: Two Slips\nmeter: 6/8\n\npart A\n| 2:0 t 2:1  1:0 t 1:0 | 1:0 t 1:2  1:0 t 1:0 |\n";
const QUIET: &str = "[rules]\npart-length = \"off\"\nsame-title = \"off\"\n";

#[test]
fn what_can_be_put_right_safely_is_and_the_check_is_clean() {
    let book = Book::of(&[("lope.toml", QUIET), ("a.lope", MENDABLE), ("b.lope", MENDED)]);
    assert_eq!(book.run(&["mend"]).expect(0), "a.lope: 2 mended\n2 mended in 1 of 2 files\n");
    assert_eq!(book.read("a.lope"), MENDED);
    assert_eq!(book.run(&["check"]).expect(0), "2 files checked, nothing found\n");
    assert_eq!(book.run(&["mend"]).expect(0), "nothing to mend in 2 files\n");
}

#[test]
fn what_is_left_is_counted() {
    let faulty = MENDABLE.replace("1:0 t 1:0 |\n", "1:0 t5:3 1:0 |\n");
    let book = Book::of(&[("lope.toml", QUIET), ("a.lope", &faulty)]);
    let out = book.run(&["mend"]).expect(0);
    assert_eq!(out, "a.lope: 2 mended, 1 left\n2 mended in 1 of 1 file\n");
}

#[test]
fn showing_writes_nothing_and_prints_a_patch_that_makes_the_mends() {
    let book = Book::of(&[("lope.toml", QUIET), ("jigs/a.lope", MENDABLE)]);
    let ran = book.run(&["mend", "--show"]);
    assert_eq!(
        ran.out,
        "\
--- jigs/a.lope
+++ jigs/a.lope
@@ -2,4 +2,4 @@
 meter: 6/8
 
 part A
-| 2:0 t h1  1:0 t 1:0 | 1:0 t h2  1:0 t 1:0 |
+| 2:0 t 2:1  1:0 t 1:0 | 1:0 t 1:2  1:0 t 1:0 |
"
    );
    assert_eq!(ran.err, "jigs/a.lope: 2 to mend\n2 to mend in 1 of 1 file\n");
    assert_eq!(ran.code(), 0);
    assert_eq!(book.read("jigs/a.lope"), MENDABLE);
    // The outside judge: git takes it as a patch.
    let applied = run_git(&book, &ran.out);
    assert!(applied.status.success(), "{applied:?}");
    assert_eq!(book.read("jigs/a.lope"), MENDED);
}

fn run_git(book: &Book, patch: &str) -> std::process::Output {
    let mut git = std::process::Command::new("git");
    git.current_dir(book.folder()).args(["apply", "-p0", "-"]);
    lope_tests::program::feed(&mut git, patch.as_bytes())
}

#[test]
fn standard_input_goes_to_standard_output_and_nothing_else_does() {
    let book = Book::of(&[("lope.toml", QUIET)]);
    let ran = run_with(&book.folder(), ["mend", "-"], MENDABLE.as_bytes());
    assert_eq!((ran.out.as_str(), ran.code()), (MENDED, 0));
    let clean = run_with(&book.folder(), ["mend", "-"], MENDED.as_bytes());
    assert_eq!((clean.out.as_str(), clean.code()), (MENDED, 0));
    let shown = run_with(&book.folder(), ["mend", "-", "--show", "--name", "a.lope"], MENDABLE.as_bytes());
    assert!(shown.out.starts_with("--- a.lope\n+++ a.lope\n"), "{shown:?}");
}

#[test]
fn line_endings_a_byte_order_mark_and_a_missing_last_break_stay() {
    for (name, from, to) in [("crlf", "\n", "\r\n"), ("cr", "\n", "\r"), ("no-break", " |\n", " |")] {
        let change = |text: &str| text.replace(from, to);
        let book = Book::of(&[("lope.toml", QUIET), ("a.lope", &change(MENDABLE))]);
        book.run(&["mend"]).expect(0);
        assert_eq!(book.read("a.lope"), change(MENDED), "{name}");
    }
    let book = Book::of(&[("lope.toml", QUIET), ("a.lope", &format!("\u{feff}{MENDABLE}"))]);
    book.run(&["mend"]).expect(0);
    assert_eq!(book.read("a.lope"), format!("\u{feff}{MENDED}"));
}

#[test]
fn permissions_stay_and_a_link_stays_a_link() {
    let book = Book::of(&[("lope.toml", QUIET), ("tunes/a.lope", MENDABLE)]);
    let file = book.path("tunes/a.lope");
    fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink("tunes/a.lope", book.path("a.lope")).unwrap();
    book.run(&["mend", "a.lope"]).expect(0);
    assert!(book.path("a.lope").is_symlink());
    assert_eq!(book.read("tunes/a.lope"), MENDED);
    assert_eq!(fs::metadata(&file).unwrap().mode() & 0o777, 0o640);
}

#[test]
fn a_file_with_nothing_to_mend_is_not_touched() {
    let book = Book::of(&[("lope.toml", QUIET), ("a.lope", MENDED)]);
    let before = fs::metadata(book.path("a.lope")).unwrap();
    book.run(&["mend"]).expect(0);
    let after = fs::metadata(book.path("a.lope")).unwrap();
    assert_eq!((before.ino(), before.modified().unwrap()), (after.ino(), after.modified().unwrap()));
}

#[test]
fn a_kept_spot_is_left_alone() {
    let kept = MENDABLE.replace("1:0 |\n", "1:0 | # keep off-strike: it is the tune's own stumble\n");
    let book = Book::of(&[("lope.toml", QUIET), ("a.lope", &kept)]);
    assert_eq!(book.run(&["mend"]).expect(0), "nothing to mend in 1 file\n");
    assert_eq!(book.read("a.lope"), kept);
}

#[test]
fn a_mistaken_configuration_is_told_and_mending_goes_on() {
    let mut toml = QUIET.as_bytes().to_vec();
    toml.write_all(b"off-strik = \"off\"\n").unwrap();
    let book = Book::of(&[("lope.toml", &toml[..]), ("a.lope", MENDABLE.as_bytes())]);
    let ran = book.run(&["mend"]);
    assert_eq!(ran.err, "lope: lope.toml:4:1: there is no rule `off-strik`; did you mean `off-strike`?\n");
    assert_eq!(book.read("a.lope"), MENDED);
    assert_eq!(ran.code(), 0);
}
