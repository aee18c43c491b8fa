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

/// What is said of a score of one measure of eighths, each with what stands beside it, after `before`.
fn said(before: &str, notes: &[(&str, &str)]) -> (Vec<String>, lope_tune::Melody) {
    let note = |(inside, notations): &(&str, &str)| {
        format!(
            "<note>{inside}<pitch><step>G</step><octave>4</octave></pitch><duration>1</duration>\
             <notations>{notations}</notations></note>"
        )
    };
    let notes: String = notes.iter().map(note).collect();
    let read =
        read(score(&format!("<measure number=\"1\">{FIRST}{before}{notes}</measure>")).as_bytes()).unwrap();
    (read.remarks.iter().map(ToString::to_string).collect(), read.melody)
}

#[test]
fn what_a_melody_has_no_place_for_is_counted_and_told_once() {
    let both = |what: &str| format!("<ornaments>{what}</ornaments>");
    let (trill, turn, mordent) = (both("<trill-mark/>"), both("<inverted-turn/>"), both("<mordent/>"));
    let tremolo = both("<tremolo type=\"single\">2</tremolo>");
    let held = "<articulations><staccato/><accent/></articulations><fermata/><dynamics><p/></dynamics>";
    let hands = "<technical><fingering>2</fingering><string>2</string><fret>1</fret><up-bow/></technical>";
    let curve = "<slur type=\"start\"/><slur type=\"stop\"/><slide type=\"start\"/>";
    let before = "<direction><direction-type><dynamics><f/></dynamics></direction-type></direction>\
                  <direction><direction-type><wedge type=\"crescendo\"/></direction-type></direction>\
                  <direction><direction-type><wedge type=\"stop\"/></direction-type></direction>\
                  <direction><direction-type><octave-shift type=\"up\"/></direction-type></direction>\
                  <direction><direction-type><segno/></direction-type></direction>\
                  <direction><direction-type><words>D.C. al Fine</words></direction-type><sound dacapo=\"yes\"/></direction>\
                  <figured-bass><figure><figure-number>6</figure-number></figure></figured-bass>\
                  <harmony><root><root-step>G</root-step></root><kind>Neapolitan</kind></harmony>";
    let (told, melody) = said(
        before,
        &[
            ("", &*trill),
            ("", &*turn),
            ("<cue/>", ""),
            ("", &*mordent),
            ("", &*tremolo),
            ("", &format!("{held}{hands}")),
            ("", curve),
            ("", &*trill),
        ],
    );
    let told: Vec<&str> = told.iter().map(|said| said.trim_start_matches("line 2, measure 1: ")).collect();
    assert_eq!(
        told,
        [
            "2 dynamics left out, the first here",
            "1 swell left out",
            "a jump to another place is not followed: write the order of the parts into the tune",
            "1 figured bass left out",
            "1 chord symbol left out",
            "2 trills left out, the first here",
            "1 turn left out",
            "1 cue note left out",
            "1 mordent left out",
            "1 tremolo left out",
            "1 mark of how a note is held left out",
            "1 accent left out",
            "1 fermata left out",
            "1 fingering left out",
            "1 place on a neck left out",
            "1 sign for a hand left out",
            "1 slur left out",
            "1 slide left out",
        ]
    );
    assert_eq!(melody.notes.len(), 7);
    assert_eq!(melody.tune.labels[0].text, "D.C. al Fine");
}

#[test]
fn what_is_said_in_many_measures_is_said_once() {
    let again = |number: usize| {
        let notes =
            "<note><chord/><pitch><step>B</step><octave>3</octave></pitch><duration>1</duration></note>";
        measure(if number == 0 { FIRST } else { "" }, "GABGAB", notes)
    };
    let read = read(score(&(0..40).map(again).collect::<String>()).as_bytes()).unwrap();
    assert_eq!(
        read.remarks.iter().map(ToString::to_string).collect::<Vec<_>>(),
        [
            "line 2, measure 1: of notes struck together the highest is taken for the melody (and in 39 more places)"
        ]
    );
}

#[test]
fn lyrics_are_words_above_their_notes() {
    let sung = |number: u8, syllabic: &str, text: &str| {
        format!("<lyric number=\"{number}\"><syllabic>{syllabic}</syllabic><text>{text}</text></lyric>")
    };
    let two = sung(1, "end", "ing") + &sung(2, "single", "Gone");
    let elided = "<lyric number=\"1\"><syllabic>single</syllabic><text>the</text><elision>‿</elision>\
                  <syllabic>begin</syllabic><text>o</text></lyric>";
    let notes = [
        sung(1, "begin", "Row"),
        two,
        String::new(),
        elided.to_owned(),
        sung(1, "end", "cean"),
        String::new(),
    ];
    // A lyric comes after the notations; the reader does not mind where.
    let notes: Vec<(&str, &str)> = notes.iter().map(|lyric| (&**lyric, "")).collect();
    let (told, melody) = said("", &notes);
    let sung: Vec<(String, &str)> =
        melody.tune.labels.iter().map(|label| (label.onset.to_string(), &*label.text)).collect();
    let at = |onset: &str, text| (onset.to_owned(), text);
    assert_eq!(sung, [at("0", "Row-"), at("1/8", "ing"), at("3/8", "the‿o-"), at("1/2", "cean")]);
    assert_eq!(told, ["line 2, measure 1: 1 syllable of another verse left out"]);
}

#[test]
fn a_transposing_instrument_is_read_as_it_sounds() {
    let before = "<harmony><root><root-step>A</root-step></root><kind>minor</kind></harmony>";
    let transpose = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>";
    let told =
        read(score(&measure(&(FIRST.replace("</attributes>", transpose) + before), "GABGAB", "")).as_bytes())
            .unwrap();
    let melody = told.melody;
    assert_eq!((melody.notes[0].pitch.0, &*melody.tune.labels[0].text), (65, "Gm"));
    // A dorian, a tone lower.
    assert_eq!(melody.key, Some(lope_tune::Key { tonic: 7, mode: lope_tune::Mode::Dorian }));
    assert_eq!(told.remarks, []);
}

#[test]
fn a_change_of_key_is_told() {
    let second = "<attributes><key><fifths>2</fifths><mode>dorian</mode></key></attributes>";
    let read =
        read(score(&(measure(FIRST, "GABGAB", "") + &measure(second, "GABGAB", ""))).as_bytes()).unwrap();
    assert_eq!(
        read.remarks.iter().map(ToString::to_string).collect::<Vec<_>>(),
        [
            "line 3, measure 1: the key changes, and the first is taken for the tune's: every note sounds as it is written"
        ]
    );
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
