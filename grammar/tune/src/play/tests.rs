use lope_syntax::parse;

use super::*;
use crate::{Defaults, Meter, read};

fn played(text: &str) -> Played {
    play(&read(text, &parse(text), &Defaults::default()).tune)
}

/// A tune in six-eight.
fn jig(music: &str) -> Played {
    played(&format!("tune: T\nmeter: 6/8\n{music}"))
}

/// How many eighths `length` is.
fn eighths(length: Duration) -> String {
    Duration::new(length.numerator() * 8, length.denominator()).to_string()
}

/// Every bar as the eighth it begins on, then its notes: `string:fret` with the eighths it lasts.
fn rows(played: &Played) -> String {
    let rows = played.bars.iter().map(|bar| {
        let end = bar.start + bar.length;
        let notes = played.notes.iter().filter(|note| bar.start <= note.onset && note.onset < end);
        let notes = notes.map(|note| format!(" {}:{}*{}", note.string, note.fret, eighths(note.length)));
        format!("{}{}", eighths(bar.start.since_start()), notes.collect::<String>())
    });
    rows.collect::<Vec<_>>().join(" | ")
}

#[track_caller]
fn check(music: &str, expected: &str) {
    assert_eq!(rows(&jig(music)), expected);
}

#[test]
fn parts_are_played_in_order_with_the_ending_of_the_pass() {
    check(
        "part A\n| 1:1--- -- |\nending 1\n| 1:2----- |\nending 2\n| 1:3----- |\npart B x2\n| 2:0----- |",
        "0 1:1*6 | 6 1:2*6 | 12 1:1*6 | 18 1:3*6 | 24 2:0*6 | 30 2:0*6",
    );
    check("order: B A B\npart A\n1:1-----\npart B\n2:0-----", "0 2:0*6 | 6 1:1*6 | 12 2:0*6");
}

#[test]
fn a_pickup_takes_its_own_time_and_the_bar_before_gives_it_back() {
    check(
        "part A x2\n1:0 | 2:0----- | 3:0---- |",
        "0 1:0*1 | 1 2:0*6 | 7 3:0*5 | 12 1:0*1 | 13 2:0*6 | 19 3:0*5",
    );
    check("part A x2\n1:0- | 3:0--- |\npart B\n2:0-----", "0 1:0*2 | 2 3:0*4 | 6 1:0*2 | 8 3:0*4 | 14 2:0*6");
}

#[test]
fn a_short_bar_takes_its_meters_time_and_a_long_one_its_own() {
    check("part A x2\n| 1:0 2:0 |", "0 1:0*1 2:0*1 | 6 1:0*1 2:0*1");
    check("part A\n| 1:0------ | 2:0----- |", "0 1:0*7 | 7 2:0*6");
    check("part A x2\n1:0 | 3:0----- |", "0 1:0*1 | 1 3:0*6 | 7 1:0*1 | 8 3:0*6");
}

#[test]
fn the_bar_again_is_the_one_before_it_in_playing() {
    check("part A\n| 1:1----- | % | % |", "0 1:1*6 | 6 1:1*6 | 12 1:1*6");
    check("part A\n| 1:1----- |\npart B\n| % |", "0 1:1*6 | 6 1:1*6");
    check("part A\n| @p | % |\nphrase p\n1:1----- | 1:2-----", "0 1:1*6 | 6 1:2*6 | 12 1:2*6");
    check("part A\n| % | 1:1----- |", "0 | 6 1:1*6");
    let both = jig("part A\n| 1:1----- | % |");
    assert_eq!(both.notes[0].note, both.notes[1].note, "it is the same note as written");
}

#[test]
fn the_bar_again_keeps_the_time_of_its_own_place() {
    let played = jig("part A\n| 1:1----- |\nmeter: 9/8\ntempo: 50\n| % |");
    assert_eq!(rows(&played), "0 1:1*6 | 6 1:1*6");
    assert_eq!(eighths(played.length), "15");
    assert_ne!(played.bars[0].frame, played.bars[1].frame);
}

#[test]
fn phrases_are_played_where_they_are_called() {
    check("part A\n| @a | 3:0----- |\nphrase a\n@b | @b\nphrase b\n1:1-----", "0 1:1*6 | 6 1:1*6 | 12 3:0*6");
    check("part A\n| @a | 3:0----- |\nphrase a\n1:1----- | @a", "0 1:1*6 | 6 3:0*6");
    check("part A\n| @lost | 3:0----- |", "0 3:0*6");
}

#[test]
fn a_ring_prolongs_what_sounded_before_it() {
    check("part A\n| 1:1----- | -- 2:0--- | - _ ---- |", "0 1:1*8 | 6 2:0*5 | 12");
    check("part A\n| [1:0 2:1]----- | - 3:0---- |", "0 1:0*7 2:1*7 | 6 3:0*5");
    check("part A x2\n| - 3:0---- |", "0 3:0*6 | 6 3:0*5");
}

#[test]
fn pitch_follows_tuning_and_capo() {
    let keys = |text: &str| -> Vec<Option<u8>> {
        jig(text).notes.iter().map(|note| note.pitch.map(|pitch| pitch.0)).collect()
    };
    assert_eq!(keys("part A\n1:0 t 4:2 6:0 5:3"), [Some(62), Some(67), Some(52), None, None]);
    assert_eq!(keys("capo: 2\ntuning: double C\npart A\n1:0 t 4:2"), [Some(64), Some(69), Some(52)]);
}

#[test]
fn braces_sound_at_their_exact_time() {
    let played = jig("part A\n| {1:0 1:1 1:2}/2 {2:0 2:1} |");
    let onsets: Vec<String> = played.notes.iter().map(|note| note.onset.since_start().to_string()).collect();
    assert_eq!(onsets, ["0", "1/12", "1/6", "1/4", "5/16"]);
}

#[test]
fn what_would_be_played_for_ever_stops() {
    let doubling: String =
        (0..15).map(|at| format!("phrase p{at}\n{} |\n", format!("| @p{}", at + 1).repeat(9))).collect();
    let endless = jig(&format!("part A\n| @p0 |\n{doubling}phrase p15\n1:0 |"));
    assert!(endless.bars.len() <= LONGEST && endless.bars.len() > LONGEST / 3);
    let silent = jig(&format!("part A\n| @p0 |\n{doubling}phrase p15\n"));
    assert_eq!(silent.bars.len(), 0);
    let crowded = jig(&format!("part A x99\n| {} |", "1:0 ".repeat(50_000)));
    assert_eq!(crowded.notes.len(), MOST_NOTES);
}

#[test]
fn a_tune_put_together_by_hand_plays_without_a_source() {
    let mut tune = read("part A\n1:0", &parse("part A\n1:0"), &Defaults::default()).tune;
    tune.frames[0].meter = Meter { beats: 99, unit: 1 };
    assert_eq!(play(&tune).length, Duration::new(99, 1));
}
