use lope_syntax::parse;
use proptest::prelude::*;

use super::write;
use crate::{Defaults, Reading, read};

fn reading(text: &str) -> Reading {
    read(text, &parse(text), &Defaults::default())
}

/// Writes what `text` reads as, and holds the writing to its laws.
#[track_caller]
fn written(text: &str) -> String {
    let tune = reading(text).tune;
    let written = write(&tune);
    let again = reading(&written);
    assert_eq!(again.tune, tune, "from\n{text}\nas\n{written}");
    assert_eq!(write(&again.tune), written);
    written
}

/// The music of a jig in one part, as it is written again.
#[track_caller]
fn check(music: &str, expected: &str) {
    let text = written(&format!("tune: T\nmeter: 6/8\npart A\n{music}"));
    assert_eq!(text, format!("tune: T\nmeter: 6/8\ntuning: gDGBD\ntempo: 90\n\npart A\n{expected}"));
}

#[test]
fn a_whole_tune() {
    let text = "tune: The Tin Whale\nby: nobody\nkind: jig\nmeter: 6/8\ntuning: gCGCD\ncapo: 2\ntempo: 100\n\
                feel: swing 2:1\ngait: xx.\norder: A A B\ntags: one, two\nnote: first\nnote: second\n\
                \npart A\n1:0 | 2:0- 2:0  3:2 h4 2:0 | @lick |\n| % | 1:0- - |\n  ending 1\n  | 2:0- -  - - - |\n  \
                ending 2,3\n  | 3:0- -  - - - |\n\nphrase lick\n| t2:1 t [3:0 2:1 t]  1:2 p2:0 s3 |\n\npart B x2\n";
    assert_eq!(written(text), text);
}

#[test]
fn a_hold_touches_the_note_it_prolongs_unless_it_begins_a_group() {
    check("| 2:1 - - 1:0 - 2:0 |", "| 2:1- -  1:0- 2:0 |\n");
    check("| 2:1 - - - - 2:0 | - 1:0 - - - - |", "| 2:1- -  - - 2:0 | - 1:0-  - - - |\n");
}

#[test]
fn braces_are_the_fewest_that_meet_every_onset() {
    check("| {1:0 2:0} {1:0 - - 2:0} |", "| {1:0 2:0} {1:0- - 2:0} |\n");
    check("| {1:0 2:0 3:0}/2 t |", "| {1:0 2:0 3:0}/2 t |\n");
    check("| {1:0 2:0}/3 {1:0 2:0 3:0 4:0}/3 |", "| {1:0 2:0}/3  {1:0 2:0 3:0 4:0}/3 |\n");
    check("| {1:0 {2:0 3:0 4:0}}/3 |", "| {1:0 {2:0 3:0 4:0}}/3 |\n");
    check("| {{1:0 2:0 3:0}/3 2:0 1:0}/2 |", "| {{1:0 2:0 3:0}/3 2:0 1:0}/2 |\n");
    check("| {1:0 - 2:0 3:0 4:0}/2 - |", "| {1:0- 2:0 3:0 4:0}/2- |\n");
    check("| 1:0 {- 2:0} |", "| 1:0 {- 2:0} |\n");
    check("| {{{1:0 2:0} 3:0} 4:0} |", "| {1:0 2:0 3:0- 4:0- - -} |\n");
    check("| {_ 1:0}/3 {_ 1:0}/3 |", "| {_ 1:0}/3  {_ 1:0}/3 |\n");
}

#[test]
fn braces_are_such_as_a_reader_takes() {
    for slots in [
        "{{3:0 - 1:0 - 1:0} 1:0 1:0 {1:0 1:0 -}/5 {{1:0 1:0 1:0}/5 1:0 1:0}/2 1:0}/5",
        "{1:0 1:0 {1:0 1:0 1:0 1:0 - 1:0 - 1:0 1:0}/9 1:0 1:0 - 1:0 {1:0 1:0 1:0}/9 - 1:0 - 1:0 -}/4",
    ] {
        let text = written(&format!("tune: T\nmeter: 6/8\npart A\n| {slots} |"));
        assert_eq!(reading(&text).issues, [], "{text}");
    }
}

#[test]
fn runs_show_their_threes_and_what_goes_on_after_them_does_not() {
    check("| {1:0 {2:0 - 3:0 4:0 1:0 t}/6 - - - -}/6 |", "| {1:0 {2:0- 3:0  4:0 1:0 t}/6- - - -}/6 |\n");
}

#[test]
fn a_brace_without_slots_takes_no_time() {
    check("| {1:0 {} {{}}/3 2:0} |", "| {1:0 2:0} |\n");
    check("| {1:0! {", "| 1:0! |\n");
}

#[test]
fn thirds_that_are_no_run_are_fifteenths() {
    let fifteen: String = "1:0 - - - - 2:0 - - - - 3:0 - - - -".into();
    check(&format!("| {{{fifteen}}}/2 |"), "| {1:0- - - - 2:0- - - - 3:0- - - -}/2 |\n");
}

#[test]
fn labels_stand_where_they_stood() {
    check(
        "| \"a\" <G> 1:0 \"b\" - {2:0 <C> 3:0} \"end\" |",
        "| \"a\" <G> 1:0 \"b\" - {2:0 <C> 3:0} \"end\" |\n",
    );
    check("| \"alone\" | <G> % | @lost <C> |", "| \"alone\" | <G> % |\n| <C> @lost |\n");
}

#[test]
fn marks_slurs_and_brushes() {
    check(
        "| 1:2!~^/i h4/p p2:0 | [3:0 2:1 1:2]- - [t 1:5!] |",
        "| 1:2!~^/i h4/p p2:0 | [3:0 2:1 1:2]- -  [t 1:5!] |\n",
    );
    check("| 1:2 p1:0 h3 |", "| 1:2 p0 h3 |\n");
}

#[test]
fn slurs_name_a_string_only_where_it_is_not_the_one_last_fingered() {
    for music in [
        "part A\n| @one | h5 |\nphrase one\n| @two | h1:0 |\nphrase two\n| 1:0 |",
        "part A\n| @one | h5 |\nphrase one\n| @two |\nphrase two\n| 1:0 |",
        "part A\n| @lost | h1:0 p0 |",
        "part A\n| 1:0 | @two | h5 |\nphrase one\n| t |\nphrase two\n| @one | @one |",
        "part A\n| 2:0 h0:3 h9:3 p5:0 |",
        "phrase lick\n| @lick | @lick | h1:0 |",
        "phrase a\n| @b | @c | h1:0 |\nphrase b\n| @a |\nphrase c\n| @a |",
    ] {
        written(&format!("tune: T\nmeter: 6/8\n{music}\n"));
    }
}

#[test]
fn changes_come_out_as_the_same_frames() {
    for changes in [
        "meter: 9/8\nunit: 1/16\ntempo: 120\n| 1:0 |\nmeter: 2/4\n| 1:0 |",
        "meter: 2/4\n| 1:0 |\nmeter: 6/8\nunit: 1/8\nmeter: 2/4\n| 1:0 |",
        "gait: x.x\nunit: 1/16\n| 1:0 |\ngait: x.\nmeter: 6/8\n| 1:0 |",
        "gait: x..\nmeter: 6/8\nunit: 1/16\n| 1:0 |",
        "gait: x..\ngait: x.x\nunit: 1/16\ngait: x.x\n| 1:0 |",
        "unit: 1/4\nunit: 1/8\nmeter: 2/4\n",
    ] {
        written(&format!("tune: T\nmeter: 6/8\npart A\n{changes}"));
    }
}

#[test]
fn headings_say_no_more_than_they_must() {
    let text =
        written("tune: T\nmeter: 6/8\npart A x2\n| 1:0 |\nending 1\n| 2:0 |\nending 2\n| 3:0 |\npart B x1");
    assert!(text.contains("\npart A\n") && text.contains("\npart B\n"));
    let thrice = written("tune: T\nmeter: 6/8\npart A x3\n| 1:0 |\nending 1,2\n| 2:0 |\nending 1\n");
    assert!(thrice.contains("\npart A x3\n") && thrice.contains("\n  ending 1,2\n"));
}

#[test]
fn what_no_text_can_say_is_said_as_nearly_as_can_be() {
    let mut tune = reading("tune: T\nmeter: 6/8\npart A\n| \"x\" {1:0 2:0} 3:0 |").tune;
    tune.header.title = "Pier\nno. #2".into();
    tune.labels[0].text = "say \"so\"".into();
    tune.events[1].onset = crate::Moment::START + crate::Duration::new(1, i64::MAX);
    let text = write(&tune);
    assert!(text.starts_with("tune: Pier no. ♯2\n"), "{text}");
    assert!(text.contains("\"say 'so'\"") && text.contains("2:0") && text.contains("3:0"), "{text}");
    assert_eq!(parse(&text).faults(), []);
}

/// Music of one bar: slots, and braces of slots to the given depth.
fn slots() -> impl Strategy<Value = String> {
    let note = prop_oneof![
        4 => (1..=4_u8, 0..=12_u8).prop_map(|(string, fret)| format!("{string}:{fret}")),
        2 => Just("t".to_owned()),
        1 => (2..=4_u8, 0..=5_u8).prop_map(|(string, fret)| format!("t{string}:{fret}")),
        1 => (0..3_usize, 0..=9_u8).prop_map(|(how, fret)| format!("{}{fret}", ["h", "p", "s"][how])),
        1 => (0..3_usize, 1..=4_u8, 0..=9_u8).prop_map(|(how, string, fret)| format!("{}{string}:{fret}", ["h", "p", "s"][how])),
        1 => Just("[3:0 t2:1 p1:2!]".to_owned()),
        1 => Just("2:1!~^/m".to_owned()),
    ];
    let slot = prop_oneof![
        6 => note.clone(),
        1 => note.prop_map(|note| format!("{note} -")),
        1 => Just("_ 1:0".to_owned()),
        1 => Just("<G7> 1:0".to_owned()),
        1 => Just("\"so\" 3:0 \"on\" -".to_owned()),
    ];
    let row = slot.prop_recursive(3, 24, 6, |inner| {
        prop_oneof![
            3 => (prop::collection::vec(inner.clone(), 1..7), 0..6_u32).prop_map(|(row, over)| {
                let over = if over == 0 { String::new() } else { format!("/{over}") };
                format!("{{{}}}{over}", row.join(" "))
            }),
            1 => inner,
        ]
    });
    prop::collection::vec(row, 1..8).prop_map(|row| row.join(" "))
}

fn bars() -> impl Strategy<Value = String> {
    let bar = prop_oneof![
        8 => slots(),
        1 => Just("%".to_owned()),
        1 => Just("<C> @lick".to_owned()),
        1 => Just("- 1:0".to_owned()),
    ];
    let change = prop_oneof![
        12 => Just(" | "),
        1 => Just(" |\nmeter: 9/8\n| "),
        1 => Just(" |\nmeter: 2/4\n"),
        1 => Just(" |\nunit: 1/16\n"),
        1 => Just(" |\nunit: 1/8\ntempo: 77\n"),
        1 => Just(" |\ngait: x.x\n"),
        1 => Just(" |\ngait: xx.\n"),
    ];
    prop::collection::vec((bar, change), 1..6)
        .prop_map(|bars| bars.into_iter().map(|(bar, change)| bar + change).collect())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn what_is_written_reads_as_the_same_music(
        a in bars(), one in bars(), two in bars(), lick in bars(), b in bars(),
        opening in prop_oneof![Just(""), Just("| ")],
        unit in prop_oneof![Just(""), Just("unit: 1/16\n"), Just("unit: 1/4\n"), Just("gait: x..x\n")],
    ) {
        let text = format!(
            "tune: T\nmeter: 6/8\n{unit}part A\n{opening}{a}\nending 1\n{one}\nending 2,3\n{two}\n\
             phrase lick\n{lick}\npart B x2\n{b}\n",
        );
        let tune = reading(&text).tune;
        let written = write(&tune);
        let again = reading(&written).tune;
        prop_assert_eq!(&again, &tune, "from\n{}\nas\n{}", text, written);
        prop_assert_eq!(write(&again), written.as_str());
        prop_assert!(parse(&written).faults().is_empty());
    }
}
