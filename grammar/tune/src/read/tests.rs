use lope_syntax::parse;

use super::*;
use crate::{EventKind, How, LabelKind, Moment};

fn reading(text: &str) -> Reading {
    read(text, &parse(text), &Defaults::default())
}

/// A jig of which only part A's music matters.
fn jig(music: &str) -> Reading {
    reading(&format!("tune: T\nmeter: 6/8\n\npart A\n{music}\n"))
}

/// The events of every bar: onset, length in eighths, and `string:fret` by how it is sounded.
fn rows(reading: &Reading) -> Vec<String> {
    let tune = &reading.tune;
    let bars = tune.bars.iter().map(|bar| {
        let events = tune.events_of(bar).iter().map(|event| {
            let notes = tune.notes_of(event).iter().map(|note| {
                let how = match note.how {
                    How::Strike => "",
                    How::Thumb => "t",
                    How::Hammer => "h",
                    How::Pull => "p",
                    How::Slide => "s",
                };
                format!("{how}{}:{}{}", note.string, note.fret, if note.alternate { "'" } else { "" })
            });
            let what = match event.kind {
                EventKind::Notes => notes.collect::<Vec<_>>().join("+"),
                EventKind::Silence => "_".to_owned(),
                EventKind::Ring => "~".to_owned(),
            };
            let run = if event.run.is_some() { "r" } else { "" };
            format!("{}@{}*{}{run}", what, event.onset, event.length)
        });
        events.collect::<Vec<_>>().join(" ")
    });
    bars.collect()
}

/// The issues with the text each marks.
fn issues(text: &str) -> Vec<String> {
    let reading = reading(text);
    reading.issues.iter().map(|issue| format!("{:?} {:?}", issue.kind, issue.span.of(text))).collect()
}

#[test]
fn slots_fill_time_and_holds_prolong() {
    let reading = jig("| 2:1- 2:0 _ t - | - 1:0 |");
    assert_eq!(rows(&reading), ["2:1@0*1/4 2:0@1/4*1/8 _@3/8*1/8 t5:0@1/2*1/4", "~@0*1/8 1:0@1/8*1/8"]);
    assert_eq!(reading.tune.bars[0].length, Duration::new(3, 4));
    assert_eq!(reading.source.slots.len(), 8);
    assert!(reading.issues.is_empty());
}

#[test]
fn a_slur_is_on_the_string_last_fingered_and_the_drone_does_not_count() {
    let reading = jig("| 2:1 t h3 t2:0 h2 p1:0 | [4:0 3:0 1:2] t p0 h2:3 s5 _ |");
    assert_eq!(
        rows(&reading)[0],
        "2:1@0*1/8 t5:0@1/8*1/8 h2:3@1/4*1/8 t2:0@3/8*1/8 h2:2@1/2*1/8 p1:0'@5/8*1/8"
    );
    assert!(rows(&reading)[1].contains("p1:0@1/4*1/8 h2:3'@3/8*1/8 s2:5@1/2*1/8"));
}

#[test]
fn braces_share_slots_and_threes_are_runs() {
    let reading = jig("| {1:0 1:1} {1:0 1:1 1:2}/2 {1:0 {2:0 2:1}/2}/1 - | 1:0 |");
    assert_eq!(
        rows(&reading)[0],
        "1:0@0*1/16 1:1@1/16*1/16 1:0@1/8*1/12r 1:1@5/24*1/12r 1:2@7/24*1/12r \
         1:0@3/8*1/24r 2:0@5/12*1/24r 2:1@11/24*1/6r"
    );
    assert_eq!(reading.tune.runs.len(), 2);
    assert_eq!(reading.tune.runs[0].start, Moment::START + Duration::new(1, 8));
    assert_eq!(reading.tune.runs[0].slot, Duration::new(1, 12));
}

#[test]
fn music_before_the_first_bar_line_is_the_pickup_if_it_is_short() {
    let reading = jig("1:0 | 1:0 1:0 1:0 1:0 1:0 |\n ending 1\n | 2:0 |\n ending 2\n | 3:0 |");
    let numbers: Vec<u32> = reading.source.bars.iter().map(|bar| bar.number).collect();
    assert_eq!(numbers, [0, 1, 2, 2]);
    assert_eq!(reading.tune.bars[0].lead, Duration::new(5, 8));
    assert_eq!(reading.tune.sections[0].kind, SectionKind::Part { times: 2, pickup: true });
    let whole = jig("1:0 1:0 1:0 1:0 1:0 1:0 | 2:0 |");
    assert_eq!(whole.source.bars[0].number, 1);
    assert_eq!(jig("1:0 2:0").source.bars[0].number, 1);
}

#[test]
fn phrases_are_found_wherever_they_stand() {
    let reading =
        reading("tune: T\nmeter: 6/8\npart A\n| @lick | h4 - | % | 1:0 |\nphrase lick\n3:0 | 3:2 |\n");
    assert_eq!(
        reading.tune.bars[0].content,
        BarContent::Phrase { name: "lick".into(), section: Some(SectionId(1)) }
    );
    assert_eq!(reading.tune.notes[0].string, 3, "the phrase leaves string 3 fingered");
    assert!(!reading.tune.notes[0].alternate);
    let through = "tune: T\nmeter: 6/8\npart A\n| @one | h4 |\nphrase one\n@two\nphrase two\n3:0\n";
    assert_eq!(self::reading(through).tune.notes[0].string, 3, "a phrase that ends with a call of it");
    let none = "tune: T\nmeter: 6/8\npart A\n| 2:0 | @one | h4 |\nphrase one\n@two | @two\nphrase two\nt\n";
    assert_eq!(self::reading(none).tune.notes[1].string, 2, "only drones");
    let held = "tune: T\nmeter: 6/8\nphrase one\nt\npart A\n| _ | @one | - |\n";
    assert_eq!(issues(held), [""; 0], "the drone rings on");
    assert_eq!(reading.source.bars.iter().map(|bar| bar.number).collect::<Vec<_>>(), [1, 3, 4, 5, 1, 2]);
    assert!(reading.issues.is_empty());
}

#[test]
fn a_change_counts_from_the_next_bar_and_a_meter_brings_its_gait() {
    let reading = reading(
        "tune: T\nmeter: 6/8\ngait: x..\npart A\n| 1:0 |\nmeter: 4/4\n| 1:0\ntempo: 120\n 2:0 | 3:0 |\nby: me\n",
    );
    let frames: Vec<String> = reading
        .tune
        .bars
        .iter()
        .map(|bar| reading.tune.frame(bar))
        .map(|f| format!("{} {} {}", f.meter, f.gait, f.tempo))
        .collect();
    assert_eq!(frames, ["6/8 x.. 90", "4/4 x. 90", "4/4 x. 120"]);
    assert_eq!(reading.issues.len(), 1);
    assert_eq!(reading.issues[0].kind, IssueKind::Misplaced("by".into()));
}

#[test]
fn labels_stand_above_moments() {
    let reading = jig("| \"slow\" 1:0 <G7> 2:0 |");
    let labels: Vec<_> = reading.tune.labels.iter().map(|l| (l.kind, l.text.as_str(), l.onset)).collect();
    let eighth = Moment::START + Duration::new(1, 8);
    assert_eq!(labels, [(LabelKind::Words, "slow", Moment::START), (LabelKind::Chord, "G7", eighth)]);
}

#[test]
fn a_bar_ends_before_the_fields_that_end_it() {
    let text = "tune: T\nmeter: 6/8\npart A\n| 1:0 \"x\"\ngait: xx.\ntempo: 90\n| 2:0\n";
    let reading = reading(text);
    let bars: Vec<_> =
        reading.source.bars.iter().map(|bar| (bar.span.of(text), bar.close.of(text))).collect();
    assert_eq!(bars, [("1:0 \"x\"", "|"), ("2:0", "")]);
}

#[test]
fn labels_beside_a_call_stand_above_its_bar() {
    let reading =
        reading("tune: T\nmeter: 6/8\npart A\n| <G> @lick <C> @lick \"x\" | <D> % |\nphrase lick\n3:0\n");
    let labels: Vec<_> = reading.tune.labels.iter().map(|l| (l.text.as_str(), l.bar.0, l.onset)).collect();
    assert_eq!(
        labels,
        [("G", 0, Moment::START), ("C", 1, Moment::START), ("x", 1, Moment::START), ("D", 2, Moment::START)]
    );
}

#[test]
fn a_writers_groups_are_set_apart() {
    let reading = jig("| 1:0 2:0  3:0 - |\n 1:0 |");
    assert_eq!(
        reading.source.slots.iter().map(|slot| slot.apart).collect::<Vec<_>>(),
        [true, false, true, false, true]
    );
}

#[test]
fn what_fields_and_headings_get_wrong_is_said_at_its_place() {
    let text =
        "tune: T\nmeter: 0/8\ncapo: 40\ntempo: 1000000000\ntunning: x\ntuning: DGBD\npart A x0\n1:0|\n";
    let said = issues(text);
    for (at, start) in [
        "BadValue { field: \"meter\", value: \"0/8\"",
        "BadValue { field: \"capo\", value: \"40\"",
        "BadValue { field: \"tempo\", value: \"1000000000\"",
        "UnknownField { name: \"tunning\", nearest: Some(\"tuning\") }",
        "BadValue { field: \"tuning\", value: \"DGBD\"",
        "BadValue { field: \"part\", value: \"x0\"",
    ]
    .into_iter()
    .enumerate()
    {
        assert!(said[at].starts_with(start), "{} does not start with {start}", said[at]);
    }
    assert_eq!(said.len(), 6);
}

#[test]
fn a_text_without_a_tune_is_one_issue() {
    assert_eq!(issues(""), ["MissingField(\"tune\") \"\""]);
    assert_eq!(issues("tune: T\npart A\n1:0"), ["MissingField(\"meter\") \"tune: T\""]);
}

#[test]
fn a_known_kind_stands_in_for_a_lost_meter() {
    let reading = reading("tune: T\nkind: slip jig\npart A\n1:0");
    assert_eq!(reading.tune.frames[0].meter.to_string(), "9/8");
}

#[test]
fn phrases_that_go_in_circles_are_cut_and_named() {
    let head = "tune: T\nmeter: 6/8\npart A\n| @a |\n";
    assert_eq!(
        issues(&format!("{head}phrase a\n@b\nphrase b\n@c\nphrase c\n@b\n")),
        ["CirclingPhrase([\"b\", \"c\", \"b\"]) \"@b\""]
    );
    assert_eq!(issues(&format!("{head}phrase a\n1:0 | @a\n")), ["CirclingPhrase([\"a\", \"a\"]) \"@a\""]);
    // What is caught in a circle is said once, and every call that closes one is cut.
    let circles = format!("{head}phrase a\n@c | @a | @a\nphrase c\n@c\n");
    assert_eq!(
        issues(&circles),
        ["CirclingPhrase([\"a\", \"a\"]) \"@a\"", "CirclingPhrase([\"c\", \"c\"]) \"@c\""]
    );
    let left = reading(&circles).tune.bars.into_iter().map(|bar| bar.content);
    let left = left.filter(|bar| matches!(bar, BarContent::Phrase { section: Some(_), .. }));
    assert_eq!(left.count(), 2, "of the part, and of a to c");
    assert_eq!(
        issues(&format!("{head}phrase aa\n1:0\n")),
        ["UnknownPhrase { name: \"a\", nearest: Some(\"aa\") } \"@a\"", "UnusedPhrase(\"aa\") \"phrase aa\""]
    );
}

#[test]
fn phrases_that_double_without_end_are_refused_and_not_unfolded() {
    let doubling: String = (0..40).map(|at| format!("phrase p{at}\n@p{} | @p{}\n", at + 1, at + 1)).collect();
    let text = format!("tune: T\nmeter: 6/8\npart A\n| @p0 |\n{doubling}phrase p40\n1:0\n");
    let said = issues(&text);
    assert_eq!(said.len(), 1);
    assert!(said[0].contains("at most 16 deep"), "{}", said[0]);
}

#[test]
fn holds_need_something_and_repeats_too() {
    assert_eq!(
        issues("tune: T\nmeter: 6/8\npart A\n| - 1:0 _ - |\npart B\n| - |"),
        ["NothingToHold \"-\"", "NothingToHold \"-\"", "NothingToHold \"-\""]
    );
    assert_eq!(issues("tune: T\nmeter: 6/8\npart A\n| % |"), ["NothingToRepeat \"%\""]);
}

#[test]
fn tab_in_a_melody_says_how_a_note_is_played() {
    let reading =
        reading("tune: T\nmeter: 6/8\ntuning: sawmill\ncapo: 2\nmelody A\n| g4- 2:0/i  h2 t2:1 a4 |");
    assert_eq!(reading.issues, []);
    let notes = reading.melodies[0].melody().notes;
    let settled: Vec<_> =
        notes.iter().map(|note| note.fixed.map(|fixed| (fixed.string, fixed.fret, fixed.how))).collect();
    assert_eq!(
        settled,
        [None, Some((2, 0, How::Strike)), Some((2, 2, How::Hammer)), Some((2, 1, How::Thumb)), None]
    );
    // The second string of sawmill is C4, and the capo is two frets up.
    assert_eq!(notes.iter().map(|note| note.pitch.0).collect::<Vec<_>>(), [67, 62, 64, 63, 69]);
    let said = |music: &str| issues(&format!("tune: T\nmeter: 6/8\nmelody A\n{music}"));
    assert_eq!(
        said("| g4 h2 [3:0 1:0] 6:1 5:2 t |"),
        ["SlurOfPitch \"h2\"", "TabInMelody \"[3:0 1:0]\"", "NoSuchPlace \"6:1\"", "NoSuchPlace \"5:2\""]
    );
}

#[test]
fn an_order_names_parts() {
    assert_eq!(
        issues("tune: T\nmeter: 6/8\norder: A B A\npart A\n1:0"),
        ["BadValue { field: \"order\", value: \"B\", expected: \"names of parts: A\" } \"B\""]
    );
}

#[test]
fn defaults_stand_in_for_fields_that_are_not_there() {
    let text = "tune: T\npart A\n1:0";
    let defaults = Defaults(vec![("meter".into(), "9/8".into()), ("tune".into(), "X".into())]);
    let reading = read(text, &parse(text), &defaults);
    assert_eq!(reading.tune.frames[0].meter.to_string(), "9/8");
    assert_eq!(reading.tune.header.title, "T");
    assert!(reading.issues.is_empty());
}

#[test]
fn slots_too_fine_to_tell_apart_take_no_time_and_are_said() {
    let many = "1:0 ".repeat(99);
    let fine = (0..6).fold(many.clone(), |inner, _| format!("{{{inner}}} {many}"));
    let reading = jig(&format!("| {{{fine}}} |"));
    assert!(reading.issues.iter().any(|issue| issue.kind == IssueKind::TooFine));
}
