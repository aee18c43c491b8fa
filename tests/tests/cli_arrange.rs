//! `lope arrange`, run as a player runs it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;

use lope_tests::program::{run, run_with};

/// An invented jig of two bars and a pickup, in G major.
const JIG: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><work><work-title>Two Buckets Down</work-title></work>
<part-list><score-part id="P1"><part-name>Melody</part-name></score-part></part-list><part id="P1">
<measure number="0"><attributes><divisions>2</divisions><key><fifths>1</fifths><mode>major</mode></key>
<time><beats>6</beats><beat-type>8</beat-type></time></attributes>
<note><pitch><step>D</step><octave>5</octave></pitch><duration>1</duration></note></measure>
<measure number="1">
<note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration></note>
<note><pitch><step>B</step><octave>4</octave></pitch><duration>1</duration></note>
<note><grace/><pitch><step>C</step><octave>5</octave></pitch></note>
<note><pitch><step>D</step><octave>5</octave></pitch><duration>1</duration></note>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration></note>
<note><pitch><step>A</step><octave>4</octave></pitch><duration>1</duration></note></measure>
<measure number="2">
<note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration></note>
<note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>1</duration></note>
<note><grace/><pitch><step>A</step><octave>5</octave></pitch></note>
<note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration></note>
<barline location="right"><repeat direction="backward"/></barline></measure></part></score-partwise>
"#;

#[test]
fn a_melody_becomes_a_tune_with_nothing_to_find() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("jig.musicxml"), JIG).unwrap();
    let ran = run(folder.path(), ["arrange", "jig.musicxml", "--tuning", "open G", "--capo", "0"]);
    assert_eq!(ran.code(), 0, "{}", ran.err);
    assert_eq!(
        ran.out,
        "\
tune: Two Buckets Down
meter: 6/8
tuning: gDGBD
tempo: 90

part A x2
1:0 | 3:0 t {2:0- - h1}  2:3 p1 3:2 | 3:0 t 4:4  3:0 t |
"
    );
    assert!(ran.err.contains("chosen 1: gDGBD, in G major, an octave down: "), "{}", ran.err);
    assert!(ran.err.contains("1 grace note for the left hand, each just before its note"), "{}", ran.err);
    assert!(
        ran.err.contains("part A, bar 2, count 4: a grace note is left out: the left hand"),
        "{}",
        ran.err
    );
    let found = run_with(folder.path(), ["check", "-"], ran.out.as_bytes());
    assert_eq!(found.code(), 0, "{}", found.out);
}

#[test]
fn a_file_that_is_there_stays_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("jig.musicxml"), JIG).unwrap();
    let arrange = || run(folder.path(), ["arrange", "jig.musicxml", "-o", "book/jig.lope"]);
    assert_eq!(arrange().code(), 0);
    let written = fs::read_to_string(folder.path().join("book/jig.lope")).unwrap();
    let again = arrange();
    assert_eq!(again.code(), 2);
    assert!(again.err.contains("book/jig.lope: is there already; nothing was written"), "{}", again.err);
    assert_eq!(fs::read_to_string(folder.path().join("book/jig.lope")).unwrap(), written);
}

#[test]
fn what_cannot_be_arranged_is_said() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("jig.musicxml"), JIG).unwrap();
    fs::write(folder.path().join("broken.xml"), &JIG[..300]).unwrap();
    let says = |args: &[&str]| {
        let ran = run(folder.path(), args);
        assert_eq!(ran.code(), 2, "{}", ran.out);
        ran.err
    };
    assert!(says(&["arrange", "nowhere.xml"]).contains("nowhere.xml: cannot read it: there is no such file"));
    assert!(says(&["arrange", "broken.xml"]).contains("broken.xml:1:1: this is not well-formed XML"));
    // It begins a tone below the neck, and goes up so far that only this much higher it fits.
    let wide = JIG.replacen("<step>D</step><octave>5</octave>", "<step>C</step><octave>3</octave>", 1);
    let wide = wide.replacen("<step>B</step><octave>4</octave>", "<step>E</step><octave>5</octave>", 1);
    fs::write(folder.path().join("wide.musicxml"), wide).unwrap();
    let wide = ["arrange", "wide.musicxml", "--tuning", "open G", "--capo", "0"];
    let said = says(&wide);
    assert!(said.contains("not all of its notes are on the neck: allow other tunings and capos"), "{said}");
    assert!(said.contains("or name a key that has a setting by --key: A\n"), "{said}");
    let there = run(folder.path(), [&wide[..], &["--key", "A"]].concat());
    assert_eq!(there.code(), 0, "{}", there.err);
    assert!(says(&["arrange", "jig.musicxml", "--tuning", "gDGB"]).contains("name five notes"));
    assert!(
        says(&[
            "arrange",
            "jig.musicxml",
            "--capo",
            "0",
            "--key",
            "C#",
            "--tuning",
            "open G",
            "--choice",
            "8"
        ])
        .contains("there is no choice 8")
    );
}

#[test]
fn a_tablature_is_read_as_it_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let tune = "\
tune: Three Lamps Short
meter: 6/8
tuning: gCGCD
capo: 2
tempo: 96

part A x2
1:0 | 3:0 h2 2:0  1:2 p0 t2:1 | [3:0 2:0]- t  3:0- |
";
    fs::write(folder.path().join("a.lope"), tune).unwrap();
    assert_eq!(run(folder.path(), ["make", "a.lope", "a.mxl"]).code(), 0);
    let ran = run(folder.path(), ["arrange", "--as-written", "a.mxl"]);
    assert_eq!((ran.code(), ran.err.as_str()), (0, ""));
    assert_eq!(ran.out, tune);
    let found = run_with(folder.path(), ["check", "-"], ran.out.as_bytes());
    assert!(found.out.contains("off-strike"), "{}", found.out);
    // As a melody it may come out on other strings, and keeps the gait.
    let arranged = run(folder.path(), ["arrange", "a.mxl"]);
    assert_eq!(arranged.code(), 0, "{}", arranged.err);
    let found = run_with(folder.path(), ["check", "-"], arranged.out.as_bytes());
    assert!(!found.out.contains("off-strike"), "{}", found.out);
}

#[test]
fn a_midi_file_is_a_melody_too() {
    let folder = tempfile::tempdir().unwrap();
    let tune =
        "tune: Three Lamps Short\nmeter: 6/8\n\npart A\n| 3:0 2:0 2:1  1:0- 2:0 | 3:0 4:4 3:0  3:2-- |\n";
    fs::write(folder.path().join("a.lope"), tune).unwrap();
    assert_eq!(run(folder.path(), ["make", "a.lope", "a.mid"]).code(), 0);
    let ran =
        run(folder.path(), ["arrange", "a.mid", "--tuning", "open G", "--capo", "0", "--style", "melodic"]);
    assert_eq!(ran.code(), 0, "{}", ran.err);
    assert!(ran.out.contains("tune: Three Lamps Short\nmeter: 6/8\n"), "{}", ran.out);
    // What one string of it sounds is no melody: all five are one voice.
    assert!(ran.out.contains("\n| 3:0 h4 2:1  2:3- 2:0 | 3:0 t4:4 3:0  3:2- - |\n"), "{}", ran.out);
    assert!(ran.err.contains("a.mid: the form has no repeats"), "{}", ran.err);
    let said = run(folder.path(), ["arrange", "a.mid", "--track", "40"]).err;
    assert!(said.contains("a.mid: there is no track 40"), "{said}");
    let said = run(folder.path(), ["arrange", "a.mid", "--as-written"]).err;
    assert!(said.contains("a MIDI file holds no tablature"), "{said}");
}

#[test]
fn a_text_tablature_is_read_as_it_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let rest = "|-------------|\n";
    let tab = format!("Cold Slip\n6/8\n|-----0-----0-|\n|---0-----0---|\n|-0-----0-----|\n{rest}{rest}");
    fs::write(folder.path().join("a.txt"), tab).unwrap();
    let ran = run(folder.path(), ["arrange", "--as-written", "a.txt", "--tuning", "sawmill"]);
    assert_eq!(ran.code(), 0, "{}", ran.err);
    assert!(ran.out.contains("tune: Cold Slip\nmeter: 6/8\ntuning: gDGCD\n"), "{}", ran.out);
    assert!(ran.err.contains("a.txt: 2 columns are taken for a 1/8 note"), "{}", ran.err);
    let said = run(folder.path(), ["arrange", "a.txt"]).err;
    assert!(
        said.contains("a.txt: is text and no score: a tablature in text is read with --as-written"),
        "{said}"
    );
}

#[test]
fn the_melodies_of_a_tune_file_become_parts_in_it() {
    let folder = tempfile::tempdir().unwrap();
    let tune = "# by hand\ntune: Two Buckets Down\nmeter: 6/8\n\nmelody A x2\nd5 | g4- b4  d5 c5 a4 | g4- f#4  g4- |  # end\n";
    fs::write(folder.path().join("jig.lope"), tune).unwrap();
    fs::write(folder.path().join("tab.lope"), "tune: T\nmeter: 6/8\n\npart A\n| 3:0- - 3:0- - |\n").unwrap();
    let ran = run(folder.path(), ["arrange", "jig.lope"]);
    assert_eq!(ran.code(), 0, "{}", ran.err);
    let part = "\npart A x2\n1:0 | 3:0 t 2:0  2:3 p1 3:2 | 3:0 t 4:4  3:0 t |\n";
    assert_eq!(ran.out, format!("{tune}{part}"));
    assert!(ran.err.contains("jig.lope:5: chosen 1: turn melody A into tab, an octave down"), "{}", ran.err);
    let ran = run(folder.path(), ["arrange", "jig.lope", "-o", "set.lope", "--style", "melodic"]);
    assert_eq!(ran.code(), 0, "{}", ran.err);
    let set = fs::read_to_string(folder.path().join("set.lope")).unwrap();
    assert!(set.ends_with("\npart A x2\n1:0 | 3:0- 2:0  2:3 p1 3:2 | 3:0- 4:4  3:0- |\n"), "{set}");
    assert_eq!(run(folder.path(), ["check", "--fail-on", "warning", "set.lope"]).code(), 0);
    let says = |args: &[&str]| {
        let ran = run(folder.path(), args);
        assert_eq!(ran.code(), 2, "{}", ran.out);
        ran.err
    };
    let settled = |note: &str, said: &str| {
        fs::write(folder.path().join("settled.lope"), tune.replace("b4 ", &format!("{note} "))).unwrap();
        let ran = run(folder.path(), ["arrange", "settled.lope"]);
        assert_eq!(ran.code(), if said.is_empty() { 0 } else { 2 }, "{}", ran.err);
        assert!(ran.err.contains(&format!("settled.lope:5{said}")), "{}", ran.err);
        ran.out
    };
    assert!(settled("3:4/p", "").ends_with("| 3:0 t 3:4/p  2:3 p1 3:2 | 3:0 t 4:4  3:0 t |\n"));
    settled("t2:0", ":1: bar 1 asks for `t2:0` where it cannot be: the hand falls there, and has to strike");
    settled("3:40", ":1: bar 1 asks for `3:40` where it cannot be: the neck has no such fret");
    assert!(says(&["arrange", "tab.lope"]).contains("tab.lope: holds no melody: write one under `melody A`"));
    assert!(says(&["arrange", "jig.lope", "--capo", "2"]).contains("leave out --tuning, --capo and --key"));
    assert!(says(&["arrange", "jig.lope", "--choice", "8"]).contains("jig.lope:5:1: there is no choice 8"));
}
