//! `lope tidy`: what it writes, and what it leaves alone. How a tidy tune looks is said in its own room.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::os::unix::fs::{MetadataExt, PermissionsExt};

use lope_tests::book::Book;
use lope_tests::program::run_with;

const UNTIDY: &str = "tune: Ropes\nmeter: 6/8\n\npart A\n|3:0  t 2:0 1:0 t 2:0|\n";
const TIDY: &str = "tune: Ropes\nmeter: 6/8\n\npart A\n| 3:0 t 2:0  1:0 t 2:0 |\n";

#[test]
fn what_is_untidy_is_put_in_order_once() {
    let book = Book::of(&[("a.lope", UNTIDY), ("b.lope", TIDY)]);
    assert_eq!(book.run(&["tidy"]).expect(0), "a.lope: tidied\n1 of 2 files tidied\n");
    assert_eq!((book.read("a.lope").as_str(), book.read("b.lope").as_str()), (TIDY, TIDY));
    assert_eq!(book.run(&["tidy"]).expect(0), "nothing to tidy in 2 files\n");
}

#[test]
fn a_check_names_what_is_untidy_and_writes_nothing() {
    let book = Book::of(&[("a.lope", UNTIDY), ("b.lope", TIDY)]);
    assert_eq!(book.run(&["tidy", "--check"]).expect(1), "a.lope: not tidy\n1 of 2 files not tidy\n");
    assert_eq!(book.read("a.lope"), UNTIDY);
    book.run(&["tidy", "--check", "b.lope"]).expect(0);
}

#[test]
fn standard_input_goes_to_standard_output() {
    for text in [UNTIDY, TIDY] {
        let ran = run_with(&Book::new().folder(), ["tidy", "-"], text.as_bytes());
        assert_eq!((ran.out.as_str(), ran.code()), (TIDY, 0));
    }
    let ran =
        run_with(&Book::new().folder(), ["tidy", "--check", "-", "--name", "a.lope"], UNTIDY.as_bytes());
    assert_eq!((ran.out.as_str(), ran.code()), ("a.lope: not tidy\n1 of 1 file not tidy\n", 1));
}

#[test]
fn line_endings_a_byte_order_mark_and_permissions_stay() {
    for (from, to) in [("\n", "\r\n"), ("\n", "\r"), ("tune: R", "\u{feff}tune: R")] {
        let book = Book::of(&[("a.lope", UNTIDY.replace(from, to))]);
        fs::set_permissions(book.path("a.lope"), fs::Permissions::from_mode(0o640)).unwrap();
        book.run(&["tidy"]).expect(0);
        assert_eq!(book.read("a.lope"), TIDY.replace(from, to));
        assert_eq!(fs::metadata(book.path("a.lope")).unwrap().mode() & 0o777, 0o640);
    }
}

#[test]
fn a_read_only_file_is_left_and_the_others_are_tidied() {
    let book = Book::of(&[("a.lope", UNTIDY), ("b.lope", UNTIDY)]);
    fs::set_permissions(book.path("a.lope"), fs::Permissions::from_mode(0o444)).unwrap();
    let ran = book.run(&["tidy"]);
    assert_eq!(ran.code(), 2, "{ran:?}");
    assert!(ran.err.starts_with("lope: a.lope: is read-only"), "{ran:?}");
    assert_eq!((book.read("a.lope").as_str(), book.read("b.lope").as_str()), (UNTIDY, TIDY));
}

#[test]
fn the_rule_that_tells_of_it_is_off_until_the_book_turns_it_on() {
    let book = Book::of(&[("lope.toml", "[rules]\npart-length = \"off\"\n"), ("a.lope", UNTIDY)]);
    book.run(&["check", "--fail-on", "hint"]).expect(0);
    book.write("lope.toml", "[rules]\npart-length = \"off\"\nuntidy = \"warning\"\n");
    assert!(book.run(&["check"]).expect(1).contains("warning untidy, a.lope:5:"));
    book.run(&["tidy"]).expect(0);
    book.run(&["check"]).expect(0);
}
