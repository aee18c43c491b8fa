use std::io::{Cursor, Write};

use lope_tune::{BarId, Duration, SectionKind};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use super::read;

/// A score of one part in 6/8, in eighths.
fn score(measures: &str) -> String {
    format!(
        "<?xml version=\"1.0\"?>\n<score-partwise version=\"4.0\"><work><work-title>Nine Wet Oars</work-title></work>\
         <part-list><score-part id=\"P1\"><part-name>Melody</part-name></score-part></part-list>\
         <part id=\"P1\">{measures}</part></score-partwise>"
    )
}

/// A measure of eighths, one a letter, with `before` and `after` them.
fn measure(before: &str, letters: &str, after: &str) -> String {
    let note = |letter: char| {
        format!("<note><pitch><step>{letter}</step><octave>4</octave></pitch><duration>1</duration></note>")
    };
    let notes: String = letters.chars().map(note).collect();
    format!("<measure number=\"1\">{before}{notes}{after}</measure>\n")
}

const FIRST: &str = "<attributes><divisions>2</divisions><key><fifths>1</fifths><mode>dorian</mode></key>\
                     <time><beats>6</beats><beat-type>8</beat-type></time></attributes>";
const REPEAT: &str = "<barline location=\"right\"><repeat direction=\"backward\"/></barline>";

fn sections(measures: &str) -> Vec<(SectionKind, u32)> {
    let read = read(score(measures).as_bytes()).unwrap();
    read.melody
        .tune
        .sections
        .iter()
        .map(|section| (section.kind.clone(), section.bars.len() as u32))
        .collect()
}

#[test]
fn parts_end_where_repeats_do_and_pickups_are_found() {
    let tune = measure(FIRST, "A", "") + &measure("", "GABGAB", "") + &measure("", "GABGA", REPEAT);
    let tune = tune + &measure("", "A", "") + &measure("", "GABGA", REPEAT);
    let part = SectionKind::Part { times: 2, pickup: true };
    assert_eq!(sections(&tune), [(part.clone(), 3), (part, 2)]);
}

#[test]
fn endings_belong_to_the_part_before_them() {
    let ending = |number: u32, kind: &str, repeat: &str| {
        format!("<barline location=\"left\"><ending number=\"{number}\" type=\"{kind}\"/>{repeat}</barline>")
    };
    let stop = "<barline location=\"right\"><ending number=\"1\" type=\"stop\"/><repeat direction=\"backward\"/></barline>";
    let tune = measure(FIRST, "GABGAB", "")
        + &measure(&ending(1, "start", ""), "GABGAB", stop)
        + &measure(&ending(2, "start", ""), "GABGAB", "")
        + &measure("", "GABGAB", "<barline location=\"right\"><bar-style>light-heavy</bar-style></barline>")
        + &measure("", "GABGAB", "");
    let of = lope_tune::SectionId(0);
    assert_eq!(
        sections(&tune),
        [
            (SectionKind::Part { times: 2, pickup: false }, 1),
            (SectionKind::Ending { of, passes: vec![1] }, 1),
            (SectionKind::Ending { of, passes: vec![2] }, 2),
            (SectionKind::Part { times: 1, pickup: false }, 1),
        ]
    );
}

#[test]
fn halves_of_a_bar_are_joined_and_it_is_said() {
    let read = read(
        score(&(measure(FIRST, "GABGAB", "") + &measure("", "GABGA", "") + &measure("", "B", ""))).as_bytes(),
    );
    let read = read.unwrap();
    assert_eq!(read.melody.tune.bars.len(), 2);
    let last = read.melody.notes.last().unwrap();
    assert_eq!((last.bar, last.onset.since_start()), (BarId(1), Duration::new(5, 8)));
    assert_eq!(
        read.remarks.iter().map(ToString::to_string).collect::<Vec<_>>(),
        ["line 4, measure 1: with the measure before it makes one bar, and is joined to it"]
    );
}

#[test]
fn a_rest_that_is_not_to_be_seen_makes_no_measure_longer() {
    let hidden = "<note print-object=\"no\"><rest/><duration>5</duration></note>";
    let tune = measure(FIRST, "A", &format!("{hidden}<barline/>")) + &measure("", "GABGAB", "");
    assert_eq!(sections(&tune), [(SectionKind::Part { times: 1, pickup: true }, 2)]);
}

#[test]
fn what_is_no_score_is_refused_at_its_line() {
    let says = |text: &str| read(text.as_bytes()).unwrap_err().to_string();
    assert!(
        says("<a>\n<b></a>").starts_with("line 2: this is not well-formed XML"),
        "{}",
        says("<a>\n<b></a>")
    );
    assert!(says("<score-timewise/>").contains("only `score-partwise` is read"));
    assert!(says(&score("<measure number=\"1\"/>")).contains("there is no note in this score"));
    assert!(says("PK not an archive").contains("cannot be opened"));
}

#[test]
fn a_compressed_score_is_the_same() {
    let plain = score(&measure(FIRST, "GABGAB", ""));
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let container = "<container><rootfiles><rootfile full-path=\"a/tune.xml\"/></rootfiles></container>";
    for (name, text) in [("META-INF/container.xml", container), ("a/tune.xml", &plain)] {
        archive.start_file(name, SimpleFileOptions::default()).unwrap();
        archive.write_all(text.as_bytes()).unwrap();
    }
    let packed = archive.finish().unwrap().into_inner();
    assert_eq!(read(&packed), read(plain.as_bytes()));
    let utf16: Vec<u8> =
        [0xFF, 0xFE].into_iter().chain(plain.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    assert_eq!(read(&utf16), read(plain.as_bytes()));
}
