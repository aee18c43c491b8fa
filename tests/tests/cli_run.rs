//! `lope run`, run as a player runs it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use lope_tests::book::Book;
use lope_tests::program::run_with;

const REEL: &str = "\
tune: Nine Steps Down
meter: 4/4

part A x2
| 3:0- 2:0-  1:0 t 2:0 t | 3:0- 2:0-  3:0- - - |

part B
| 1:0 t 1:2 t  1:0 t 2:0 t | 3:0- 2:0-  3:0- - - |
";
const QUIET: &str = "[rules]\npart-length = \"off\"\n";

fn book() -> Book {
    Book::of(&[("lope.toml", QUIET), ("reel.lope", REEL)])
}

#[test]
fn the_best_run_is_written_and_the_others_are_told() {
    let book = book();
    let out = book.run(&["run", "reel.lope", "--bar", "1", "--counts", "1-2", "--notes", "6"]).expect(0);
    let told: Vec<&str> = out.lines().collect();
    assert_eq!(told[0], "reel.lope: chosen 1: make a run of 6: G A B, C D B");
    assert_eq!(told[1], "reel.lope: or 2: make a run of 6: G A B, D C B");
    let written = book.read("reel.lope");
    let line = "# straight: 3:0- 2:0-\n| {3:0 h2 2:0  2:1 h3 2:0}/4  1:0 t 2:0 t | 3:0- 2:0-";
    assert!(written.contains(line), "{written}");
    assert_eq!(book.run(&["check"]).expect(0), "1 file checked, nothing found\n");
    assert_eq!(
        book.run(&["run", "reel.lope:6", "--back"]).expect(0),
        "reel.lope: chosen: take the run back: 3:0- 2:0-\n"
    );
    assert_eq!(book.read("reel.lope"), REEL);
}

#[test]
fn a_place_is_said_as_a_player_says_it_or_as_findings_show_it() {
    let book = book();
    let shown = |args: &[&str]| {
        let ran = book.run(&[&["run", "--show"], args].concat());
        assert_eq!(ran.code(), 0, "{}", ran.err);
        let is_new = |line: &&str| line.starts_with("+|");
        ran.out.lines().find(is_new).unwrap_or_default().to_owned()
    };
    let second = shown(&["reel.lope", "--part", "B", "--bar", "2", "--counts", "1-2"]);
    assert!(second.contains("| {3:0 "), "{second}");
    assert_eq!(shown(&["reel.lope:8:30", "--counts", "1-2"]), second);
    assert_eq!(shown(&["reel.lope:8", "--counts", "1-2"]).find('{'), Some(3));
    let whole = shown(&["reel.lope", "--part", "B"]);
    assert!(whole.contains("}/8 |"), "{whole}");
    let blues = shown(&["reel.lope", "--counts", "1-2", "--blues", "--choice", "2"]);
    assert_ne!(blues, shown(&["reel.lope", "--counts", "1-2"]));
    assert_eq!(book.read("reel.lope"), REEL, "showing writes nothing");
}

#[test]
fn standard_input_goes_to_standard_output() {
    let book = book();
    let ran = run_with(&book.folder(), ["run", "-", "--counts", "1-2"], REEL.as_bytes());
    assert_eq!(ran.code(), 0);
    assert!(ran.out.contains("| {3:0 h2 2:0  2:1 h3 2:0}/4  1:0 t"), "{}", ran.out);
    assert!(ran.err.contains("chosen 1: make a run of 6"), "{}", ran.err);
}

#[test]
fn what_cannot_be_done_is_said_and_nothing_is_written() {
    let book = book();
    let says = |args: &[&str]| {
        let ran = book.run(&[&["run"], args].concat());
        assert_eq!(ran.code(), 2, "{}", ran.out);
        assert_eq!(book.read("reel.lope"), REEL);
        ran.err
    };
    assert!(says(&["reel.lope", "--part", "C"]).contains("reel.lope: there is no part or phrase C"));
    assert!(says(&["reel.lope", "--bar", "7"]).contains("there is no bar 7"));
    assert!(says(&["reel.lope", "--counts", "1", "--notes", "9"]).contains("a run of 3 takes 2 strokes"));
    assert!(says(&["reel.lope", "--counts", "1", "--notes", "7"]).contains("a run of 3 takes 2 strokes"));
    assert!(says(&["reel.lope", "--counts", "6"]).contains("no note stands at counts 6 to 6"));
    assert!(says(&["reel.lope", "--back"]).contains("there is no run here to take back"));
    assert!(says(&["reel.lope:2", "--tune", "Ten"]).contains("no tune here is called Ten"));
    assert!(says(&["nowhere.lope"]).contains("there is no such file"));
    assert!(says(&["reel.lope", "--counts", "2-1"]).contains("write one, as in 2"));
}
