//! Melodies and tablatures that are broken, hostile or strange, given to the real program.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fmt::Write as _;
use std::fs;
use std::io::{Cursor, Write as _};

use lope_tests::program::{run, run_with};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// A score of one measure that holds `notes` after `attributes`.
fn score(attributes: &str, notes: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\">\
         <work><work-title>Odd One</work-title></work>\
         <part-list><score-part id=\"P1\"><part-name>M</part-name></score-part></part-list>\n\
         <part id=\"P1\"><measure number=\"1\"><attributes>{attributes}</attributes>\n{notes}\n</measure></part>\
         </score-partwise>\n"
    )
}

fn meter(beats: u32, unit: u32) -> String {
    format!(
        "<divisions>2</divisions><key><fifths>1</fifths></key>\
         <time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>"
    )
}

fn note(pitch: &str, duration: &str, more: &str) -> String {
    let (step, octave) = pitch.split_at(1);
    format!(
        "<note>{more}<pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>{duration}</duration></note>"
    )
}

fn notes(pitches: &str, duration: &str) -> String {
    pitches.split(' ').map(|pitch| note(pitch, duration, "")).collect()
}

const JIG: &str = "G4 A4 B4 D5 B4 G4";

fn jig() -> String {
    score(&meter(6, 8), &notes(JIG, "1"))
}

/// Checks that `lope arrange` refuses a file called `name` with `bytes` in it, and says so in `words` after the
/// file's name.
#[track_caller]
fn refused(name: &str, bytes: impl AsRef<[u8]>, words: &str) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join(name), bytes).unwrap();
    let as_written = name.ends_with(".txt").then_some("--as-written");
    let ran = run(folder.path(), ["arrange", name].into_iter().chain(as_written));
    assert_eq!((ran.code(), ran.out.as_str()), (2, ""), "{}", ran.err);
    assert!(ran.err.contains(&format!("lope: {name}{words}")), "{}", ran.err);
}

/// Checks that a melody in a file called `name` is arranged in open G without trouble, with `remark` said of it,
/// and returns the tune.
#[track_caller]
fn taken(name: &str, bytes: impl AsRef<[u8]>, remark: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join(name), bytes).unwrap();
    let ran =
        run(folder.path(), ["arrange", name, "--tuning", "open G", "--capo", "0", "--style", "melodic"]);
    assert_eq!(ran.code(), 0, "{}", ran.err);
    assert!(ran.err.contains(remark), "{}", ran.err);
    let found = run_with(folder.path(), ["check", "-"], ran.out.as_bytes());
    assert!(!found.out.contains("off-strike") && !found.out.contains("error"), "{}\n{}", ran.out, found.out);
    ran.out
}

#[test]
fn what_is_no_partwise_score_is_refused_with_what_to_do() {
    refused("a.musicxml", "", ": is empty: save it again where it comes from");
    refused("a.musicxml", " \n\t ", ": is empty");
    refused("a.musicxml", (0..=255).cycle().take(20_000).collect::<Vec<u8>>(), ": is text and no score");
    refused(
        "a.musicxml",
        jig().replace("score-partwise", "score-timewise"),
        ":2:1: the root is `score-timewise`",
    );
    refused("a.musicxml", "<opus/>", ":1:1: the root is `opus`, and only `score-partwise` is read");
    refused("a.xml", "<!DOCTYPE html><html><body/></html>", ":1:1: the root is `html`");
    refused("a.xml", &jig()[..jig().len() - 30], ":1:1: this is not well-formed XML");
    refused("a.xml", "<a>".repeat(200_000), ":1:1: this is not well-formed XML");
}

#[test]
fn entities_are_neither_fetched_nor_unfolded_without_end() {
    let folder = tempfile::tempdir().unwrap();
    let secret = folder.path().join("secret");
    fs::write(&secret, "G").unwrap();
    let declared = |entities: &str, used: &str| {
        let text = jig().replace("<step>G", &format!("<step>{used}"));
        text.replace("<score-partwise", &format!("<!DOCTYPE score-partwise [{entities}]>\n<score-partwise"))
    };
    let outside = format!("<!ENTITY x SYSTEM \"file://{}\">", secret.display());
    refused(
        "a.xml",
        declared(&outside, "&x;"),
        ":5:1: this is not well-formed XML: unknown entity reference 'x'",
    );
    let mut laughs = "<!ENTITY l0 \"lol\">".to_owned();
    for level in 1..10 {
        write!(laughs, "<!ENTITY l{level} \"{}\">", format!("&l{};", level - 1).repeat(10)).unwrap();
    }
    refused(
        "a.xml",
        declared(&laughs, "&l9;"),
        ":2:1: this is not well-formed XML: a possible entity reference loop",
    );
}

/// An archive of `files`.
fn archive(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        archive.start_file(*name, SimpleFileOptions::default()).unwrap();
        archive.write_all(bytes).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

#[test]
fn archives_that_hold_no_score_or_far_too_much_are_refused() {
    let container = |path: &str| {
        format!("<container><rootfiles><rootfile full-path=\"{path}\"/></rootfiles></container>")
    };
    let with = |path: &str, files: &[(&str, &[u8])]| {
        archive(&[&[("META-INF/container.xml", container(path).as_bytes())], files].concat())
    };
    let jig = jig();
    let whole = with("s.xml", &[("s.xml", jig.as_bytes())]);
    assert!(taken("a.mxl", &whole, "").contains("tune: Odd One"));
    refused(
        "a.mxl",
        archive(&[("s.xml", jig.as_bytes())]),
        ": the compressed file cannot be opened (META-INF/container.xml",
    );
    refused("a.mxl", with("gone.xml", &[]), ": the compressed file cannot be opened (gone.xml");
    refused("a.mxl", &whole[..whole.len() / 2], ": the compressed file cannot be opened");
    let bomb = vec![b' '; (64 << 20) + 1];
    refused(
        "a.mxl",
        with("s.xml", &[("s.xml", &bomb)]),
        ": the compressed file cannot be opened (s.xml is larger than 64 MB)",
    );
    // The flag of an encrypted entry, in the last entry's own header and in the archive's list (APPNOTE, 4.4.4).
    let mut encrypted = whole;
    for (mark, flags) in [(b"PK\x01\x02", 8), (b"PK\x03\x04", 6)] {
        let at = (0..encrypted.len() - 4).rfind(|at| encrypted[*at..].starts_with(mark)).unwrap();
        encrypted[at + flags] |= 1;
    }
    refused("a.mxl", encrypted, ": the compressed file cannot be opened (s.xml");
}

#[test]
fn what_a_melody_cannot_have_is_left_out_and_said() {
    let six = meter(6, 8);
    let chord = notes("G4", "2") + &note("B4", "2", "<chord/>") + &notes("D5 A4 A4 A4", "1");
    let tune =
        taken("a.xml", score(&six, &chord), "measure 1: of notes struck together the highest is taken");
    assert!(tune.ends_with("part A\n| 2:0- 1:0  3:2 t4:7 4:7 |\n"), "{tune}");
    let voices = notes(JIG, "1").replace("</note>", "<voice>1</voice></note>")
        + "<backup><duration>6</duration></backup>"
        + &note("G3", "6", "").replace("</note>", "<voice>2</voice></note>");
    assert_eq!(
        taken("a.xml", score(&six, &voices), "measure 1: other voices begin here; only the first is read"),
        taken("a.xml", jig(), "")
    );
    let bent =
        notes("G4", "1").replace("<octave>", "<alter>0.5</alter><octave>") + &notes("A4 B4 D5 B4 G4", "1");
    taken("a.xml", score(&six, &bent), "a note between two semitones is left out: no fret sounds it");
    taken(
        "a.xml",
        score("<divisions>2</divisions>", &notes(JIG, "1")),
        "measure 1: no meter is written, and 4/4 is taken",
    );
    let none = score(&six.replace("<divisions>2", "<divisions>0"), &notes(JIG, "1"));
    taken("a.xml", none, "`0` divisions of a quarter note are not understood, and 1 goes on");
    let drum = "<note><unpitched><display-step>E</display-step><display-octave>4</display-octave></unpitched>\
                <duration>6</duration></note>";
    refused(
        "a.xml",
        score(&six, drum),
        ":2:1: there are drums and no notes in this score: choose a file with a melody",
    );
    for no_time in ["0", "-1", "99999999999999999999", "one"] {
        refused(
            "a.xml",
            score(&six, &notes(JIG, no_time)),
            ": line 3, measure 1: a measure without time is left out",
        );
    }
    refused("a.xml", score(&six, &notes("C1 C9", "3")), ": not all of its notes are on the neck");
}

#[test]
fn odd_meters_have_their_own_gait() {
    let seven = score(&meter(7, 8), &notes("G4 A4 B4 G4 A4 B4 D5", "1"));
    let tune = taken("a.xml", seven, "");
    assert!(tune.contains("meter: 7/8\n") && tune.ends_with("| 3:0 h2  3:4 p0  3:2 h4 1:0 |\n"), "{tune}");
    let five = score(&meter(5, 4), &notes("G4 A4 B4 A4 G4", "2"));
    let tune = taken("a.xml", five, "");
    assert!(tune.contains("meter: 5/4\n") && tune.ends_with("| 3:0-  3:2-  2:0-  3:2-  3:0- |\n"), "{tune}");
}

/// A standard MIDI file of one track in format `format`, with `division` in its header and the notes of the jig on
/// `channel`, from 0, each as long as half of 480 ticks (MIDI Manufacturers Association, RP-001).
fn midi(format: u8, division: [u8; 2], channel: u8) -> Vec<u8> {
    let mut track = b"\0\xFF\x58\x04\x06\x03\x18\x08".to_vec();
    for pitch in [67, 69, 71, 74, 71, 67] {
        track.extend([0, 0x90 | channel, pitch, 80, 0x81, 0x70, 0x80 | channel, pitch, 0]);
    }
    track.extend(END);
    midi_of(format, division, &track)
}

/// A standard MIDI file of the one track that `events` are.
fn midi_of(format: u8, division: [u8; 2], events: &[u8]) -> Vec<u8> {
    let length = (events.len() as u32).to_be_bytes();
    [b"MThd\0\0\0\x06\0".as_slice(), &[format, 0, 1], &division, b"MTrk", &length, events].concat()
}

/// The end of a track.
const END: &[u8] = b"\0\xFF\x2F\0";
const TICKS: [u8; 2] = 480_u16.to_be_bytes();

#[test]
fn midi_files_that_are_none_or_have_no_melody_are_refused() {
    let whole = midi(0, TICKS, 0);
    assert!(taken("a.mid", &whole, "the form has no repeats").contains("meter: 6/8"));
    refused("a.mid", "", ": is empty");
    refused(
        "a.mid",
        [b"RIFF", &whole[..]].concat(),
        ": this is no standard MIDI file: it does not begin as one",
    );
    refused("a.mid", midi(0, [0xE7, 0x28], 0), ": it counts time in seconds and not in beats");
    refused("a.mid", midi(0, [0, 0], 0), ": it divides a quarter note into no ticks at all");
    refused("a.mid", midi(0, TICKS, 9), ": there are only drums in it: choose a file with a melody");
    for cut in [14, 30, whole.len() - 1] {
        refused("a.mid", &whole[..cut], ": the file is cut short: copy or save it again");
    }
}

#[test]
fn midi_files_that_are_not_as_the_standard_has_them_are_read_with_a_word_or_refused() {
    let whole = midi(0, TICKS, 0);
    let read = taken("a.mid", &whole, "");
    let beyond = [&whole[..], &vec![0xAB; 3 << 20]].concat();
    assert_eq!(taken("a.mid", beyond, "a.mid: 3145728 bytes after the end of a track left out"), read);
    let chunk = [&whole[..14], b"XFIH\0\0\0\x02\0\0", &whole[14..]].concat();
    assert_eq!(taken("a.mid", chunk, ""), read);
    let events = &whole[22..whole.len() - END.len()];
    let endless = midi_of(0, TICKS, events);
    assert_eq!(taken("a.mid", endless, "a.mid: 1 track without an end, read to the last event"), read);
    let damaged = midi_of(0, TICKS, &[events, b"\0\xF9", END].concat());
    refused("a.mid", damaged, ": track 1 is damaged: what comes after 62 of its 68 bytes is no event");
    let for_ever = [b"\0\x90\x43\x40\xFF\xFF\xFF\x7F\x80\x43\x40", END].concat();
    refused("a.mid", midi_of(0, [0, 1], &for_ever), ": it goes on for more than 10000 bars");
    let busy = [b"\0\x90\x43\x40".as_slice(), &b"\x01\x43\0\0\x43\x40".repeat(500_001), END].concat();
    refused("a.mid", midi_of(0, TICKS, &busy), ": there are more than 1000000 events in it");
    // A text between two notes of one status: by the standard it ends that, and there are programs that know better.
    let status = b"\0\x90\x43\x40\x81\x70\x43\0\0\xFF\x01\x02hi\0\x45\x40\x81\x70\x45\0";
    let two = taken("a.mid", midi_of(0, TICKS, &[status, END].concat()), "1 other text in the file left out");
    assert!(two.ends_with("| 3:0 h2  _ _  _ _  _ _ |\n"), "{two}");
}

#[test]
fn files_that_are_far_too_large_are_refused_unread() {
    for name in ["a.mid", "a.musicxml", "a.mxl", "a.txt"] {
        let folder = tempfile::tempdir().unwrap();
        // A file that takes no room on the disk.
        fs::File::create(folder.path().join(name)).unwrap().set_len(1 << 40).unwrap();
        let ran = run(folder.path(), ["arrange", name]);
        assert_eq!((ran.code(), ran.out.as_str()), (2, ""), "{}", ran.err);
        let says =
            format!("lope: {name}: is larger than 64 MB, and a tune takes far less: save the tune alone");
        assert!(ran.err.contains(&says), "{}", ran.err);
    }
}

#[test]
fn a_midi_file_cut_anywhere_is_never_another_melody() {
    let whole = midi(1, TICKS, 0);
    assert!(lope_exchange::midi::read(&whole, None).is_ok());
    for cut in 0..whole.len() {
        assert!(lope_exchange::midi::read(&whole[..cut], None).is_err(), "{cut}");
    }
}

#[test]
fn lines_that_are_no_tablature_of_five_strings_are_refused_at_their_place() {
    let of =
        |strings: &[&str]| strings.iter().map(|string| format!("{string}|--0--2--|\n")).collect::<String>();
    refused("a.txt", "", ": is empty");
    refused(
        "a.txt",
        "Dear friend,\nhere is the tune.\n",
        ": there are no five lines of tablature in this text",
    );
    refused(
        "a.txt",
        of(&["D", "B", "G", "D"]),
        ":1:1: 4 lines of tablature stand together here, and a banjo has five",
    );
    refused("a.txt", of(&["e", "B", "G", "D", "A", "E"]), ":1:1: 6 lines of tablature stand together here");
}
