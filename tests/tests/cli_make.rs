//! `lope make`: what it makes, where it puts it, and what it says when it cannot.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};

use lope_tests::book::Book;
use lope_tests::program::run_with;

const JIG: &str =
    "tune: Tin Roof\nmeter: 6/8\ntempo: 120\n\npart A x2\n1:0 | 3:0 t 2:0  1:0 t 2:0 | 3:0 t 3:0  3:0- |\n";
const REEL: &str = "tune: The Wet Step!\nmeter: 2/4\n\npart B\n| 3:0 t 2:0 t  1:0 t 2:0 t |\n";

/// What a run that failed said.
fn complaint(book: &Book, args: &[&str]) -> String {
    let ran = book.run(args);
    assert_eq!((ran.code(), ran.out.as_str()), (2, ""), "{ran:?}");
    ran.err
}

fn bytes(book: &Book, path: &str) -> Vec<u8> {
    fs::read(book.path(path)).unwrap()
}

/// The seconds that a WAV file lasts, by the size of its samples (RIFF: 16-bit, one channel, 44.1 kHz).
fn seconds(book: &Book, path: &str) -> f64 {
    let bytes = bytes(book, path);
    assert_eq!((&bytes[..4], &bytes[8..16]), (&b"RIFF"[..], &b"WAVEfmt "[..]));
    (bytes.len() - 44) as f64 / 2.0 / 44_100.0
}

#[test]
fn the_ending_says_what_is_made() {
    let book = Book::of(&[("a.lope", JIG)]);
    assert_eq!(book.run(&["make", "a.lope", "a.mid"]).expect(0), "a.mid: made\n");
    assert_eq!(book.run(&["make", "a.lope", "a.WAV"]).expect(0), "a.WAV: made\n");
    assert_eq!(&bytes(&book, "a.mid")[..4], b"MThd");
    // Two times two bars of a second each, and the last note rings out.
    let lasts = seconds(&book, "a.WAV");
    assert!((4.0..8.0).contains(&lasts), "{lasts}");
    let mode = fs::metadata(book.path("a.mid")).unwrap().permissions().mode();
    assert_eq!(mode & 0o600, 0o600, "whoever made it may read it");
    for (out, named) in [("a.ogg", "a.ogg"), ("a", "a"), ("a.lope", "a.lope")] {
        let said = complaint(&book, &["make", "a.lope", out]);
        assert_eq!(
            said,
            format!(
                "lope: {named}: its ending says nothing that can be made: choose .pdf, .html, .txt, .svg, .png, .mid, .wav, \
                 .musicxml or .mxl\n"
            )
        );
    }
    assert_eq!(book.read("a.lope"), JIG);
}

#[test]
fn a_tune_becomes_a_score_plain_or_compressed() {
    let book = Book::of(&[("a.lope", JIG), ("none.lope", "tune: Rest\nmeter: 6/8\n")]);
    assert_eq!(book.run(&["make", "a.lope", "a.musicxml"]).expect(0), "a.musicxml: made\n");
    let plain = book.read("a.musicxml");
    assert!(plain.contains("<sign>TAB</sign>") && !plain.contains("<sign>G</sign>"), "{plain}");
    assert_eq!(book.run(&["make", "a.lope", "a.mxl"]).expect(0), "a.mxl: made\n");
    let packed = bytes(&book, "a.mxl");
    assert_eq!(&packed[30..38], b"mimetype", "what it is stands first");
    book.run(&["make", "a.lope", "both.musicxml", "--notes"]).expect(0);
    let both = book.read("both.musicxml");
    assert!(both.contains("<sign>TAB</sign>") && both.contains("<sign>G</sign>"), "{both}");
    let said = complaint(&book, &["make", "none.lope", "n.musicxml"]);
    assert_eq!(said, "lope: none.lope: there is nothing to write in it\n");
    let odd = "tune: Odd\nmeter: 6/8\norder: A B A\n\npart A\n| 5:3 t 3:0  3:0-- |\n\npart B\n| @lick |\n\nphrase lick\n| 3:0----- |\n";
    let book = Book::of(&[("odd.lope", odd)]);
    let ran = book.run(&["make", "odd.lope", "odd.musicxml"]);
    for said in [
        "odd.musicxml: parts are written out in the order in which they are played",
        "odd.musicxml: phrase lick is written out where it is called",
        "odd.musicxml: a note is left out: its string and fret are nowhere on the neck",
    ] {
        assert!(ran.err.contains(said), "{}", ran.err);
    }
}

#[test]
fn standard_input_is_made_as_well_and_a_file_that_is_there_is_replaced() {
    let book = Book::of(&[("a.mid", "old")]);
    symlink("a.mid", book.path("link.mid")).unwrap();
    fs::set_permissions(book.path("a.mid"), fs::Permissions::from_mode(0o640)).unwrap();
    let ran = run_with(&book.folder(), ["make", "-", "link.mid"], JIG.as_bytes());
    assert_eq!(ran.expect(0), "link.mid: made\n");
    assert_eq!(&bytes(&book, "a.mid")[..4], b"MThd");
    assert_eq!(fs::metadata(book.path("a.mid")).unwrap().permissions().mode() & 0o777, 0o640);
    assert!(fs::symlink_metadata(book.path("link.mid")).unwrap().is_symlink());
}

#[test]
fn a_file_of_several_tunes_wants_a_title_or_a_folder() {
    let book = Book::of(&[("two.lope", format!("{JIG}\n{REEL}"))]);
    let said = complaint(&book, &["make", "two.lope", "a.mid"]);
    let expected = "lope: two.lope: holds 2 tunes; choose one with --tune TITLE, or name a folder and what to make with \
                    --as; there are `Tin Roof`, `The Wet Step!`\n";
    assert_eq!(said, expected);
    book.run(&["make", "two.lope", "a.mid", "--tune", "the wet step!"]).expect(0);
    let said = complaint(&book, &["make", "two.lope", "b.mid", "--tune", "Tin Rof"]);
    assert_eq!(said, "lope: two.lope: holds no tune called `Tin Rof`; did you mean `Tin Roof`?\n");
    assert!(!book.path("b.mid").exists());
}

#[test]
fn a_book_goes_to_a_folder_with_a_name_for_every_title() {
    let book = Book::of(&[("book/a.lope", JIG), ("book/b/c.lope", REEL), ("book/d.lope", JIG)]);
    let said = book.run(&["make", "book", "out", "--as", "mid"]).expect(0);
    assert_eq!(said, "out/tin-roof.mid: made\nout/the-wet-step.mid: made\nout/tin-roof-2.mid: made\n");
    assert_eq!(bytes(&book, "out/tin-roof.mid"), bytes(&book, "out/tin-roof-2.mid"));
    let said = complaint(&book, &["make", "book", "out"]);
    assert_eq!(said, "lope: out: is a folder; say with --as what to make of each tune, such as --as mid\n");
    let said = complaint(&book, &["make", "book", "book/a.lope", "--as", "mid"]);
    assert_eq!(said, "lope: book/a.lope: is a file; with --as, OUT is the folder to put the files in\n");
}

#[test]
fn a_passage_is_played_over_slowly_and_counted_in() {
    let book = Book::of(&[("a.lope", JIG)]);
    // Bar 1 lasts a second: at half speed three times, and a bar of counting first.
    book.run(&[
        "make",
        "a.lope",
        "a.wav",
        "--part",
        "A",
        "--bars",
        "1",
        "--times",
        "3",
        "--speed",
        "50",
        "--count-in",
    ])
    .expect(0);
    let lasts = seconds(&book, "a.wav");
    assert!((8.0..12.0).contains(&lasts), "{lasts}");
    let said = complaint(&book, &["make", "a.lope", "b.wav", "--part", "A", "--bars", "2-3"]);
    assert_eq!(said, "lope: a.lope: part A has no such bars in a row: it is played from bar 0 to bar 2\n");
    let said = complaint(&book, &["make", "a.lope", "b.wav", "--part", "C"]);
    assert_eq!(said, "lope: a.lope: plays no part C; its parts are: A\n");
    let said = complaint(&book, &["make", "a.lope", "b.wav", "--only", "left"]);
    assert_eq!(said, "lope: a.lope: nothing sounds in what is asked for\n");
    for wrong in [["--bars", "1-2"], ["--speed", "5"], ["--times", "0"], ["--only", "foot"]] {
        let ran = book.run(&[&["make", "a.lope", "b.wav"][..], &wrong].concat());
        assert_eq!(ran.code(), 2, "{ran:?}");
    }
    assert!(!book.path("b.wav").exists());
}

#[test]
fn what_cannot_be_written_leaves_nothing_behind() {
    let book = Book::of(&[
        ("a.lope", JIG),
        ("none.lope", "tune: Rest\nmeter: 6/8\n"),
        ("slow.lope", "tune: Snail\nmeter: 4/4\ntempo: 20\npart A\n| 1:0 |\n"),
    ]);
    let said = complaint(&book, &["make", "a.lope", "gone/a.mid"]);
    assert_eq!(said, "lope: gone/a.mid: cannot write it: there is no such file or folder\n");
    let said = complaint(&book, &["make", "none.lope", "n.mid"]);
    assert_eq!(said, "lope: none.lope: there is nothing to play in it\n");
    let said = complaint(&book, &["make", "slow.lope", "s.mid", "--speed", "10"]);
    assert!(said.starts_with("lope: slow.lope: the tempo is too slow for a standard MIDI file"), "{said}");
    let said = complaint(&book, &["make", "gone.lope", "g.mid"]);
    assert_eq!(said, "lope: gone.lope: cannot read it: there is no such file or folder\n");
    let there = fs::read_dir(book.folder()).unwrap().count();
    assert_eq!(there, 3, "only the tunes");
}

#[test]
fn a_tune_with_errors_is_played_as_far_as_it_goes() {
    let book = Book::of(&[("a.lope", "tune: T\nmeter: 6/8\n\npart A\n| 3:0 oops 2:0  1:0 t5:3 2:0 |\n")]);
    let ran = book.run(&["make", "a.lope", "a.mid"]);
    assert_eq!((ran.code(), ran.out.as_str()), (0, "a.mid: made\n"));
    assert_eq!(ran.err, "lope: a.lope: what is wrong in it may be heard; `lope check a.lope` shows it\n");
}
