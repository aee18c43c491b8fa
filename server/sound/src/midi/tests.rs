use lope_syntax::parse;
use lope_tune::{Defaults, play, read};
use midly::num::u4;
use midly::{MetaMessage, Smf, TrackEventKind};

use super::*;
use crate::{Performance, schedule};

fn tune(text: &str) -> Tune {
    read(text, &parse(text), &Defaults::default()).tune
}

fn bytes(text: &str, performance: &Performance) -> Vec<u8> {
    let tune = tune(text);
    midi(&tune, &schedule(&tune, &play(&tune), performance)).unwrap()
}

/// Every meta event of the first track but its end, with the tick it stands at.
fn conducted(bytes: &[u8]) -> Vec<String> {
    let file = Smf::parse(bytes).unwrap();
    let mut now = 0;
    let events = file.tracks[0].iter().map(|event| {
        now += event.delta.as_int();
        let said = match event.kind {
            TrackEventKind::Meta(MetaMessage::TrackName(text)) => {
                format!("title {}", String::from_utf8_lossy(text))
            }
            TrackEventKind::Meta(MetaMessage::Marker(text)) => {
                format!("part {}", String::from_utf8_lossy(text))
            }
            TrackEventKind::Meta(MetaMessage::Lyric(text)) => {
                format!("words {}", String::from_utf8_lossy(text))
            }
            TrackEventKind::Meta(MetaMessage::Text(text)) => {
                format!("chord {}", String::from_utf8_lossy(text))
            }
            TrackEventKind::Meta(MetaMessage::Copyright(text)) => {
                format!("rights {}", String::from_utf8_lossy(text))
            }
            TrackEventKind::Meta(MetaMessage::KeySignature(fifths, minor)) => {
                format!("key {fifths}{}", if minor { " minor" } else { "" })
            }
            TrackEventKind::Meta(MetaMessage::Tempo(micros)) => format!("tempo {micros}"),
            TrackEventKind::Meta(MetaMessage::TimeSignature(beats, power, clocks, 8)) => {
                format!("meter {beats}/{} by {clocks}", 1 << power)
            }
            TrackEventKind::Meta(MetaMessage::EndOfTrack) => "end".to_owned(),
            other => format!("{other:?}"),
        };
        format!("{now} {said}")
    });
    events.collect()
}

#[test]
fn the_first_track_has_title_key_meters_tempos_and_parts() {
    let text = "tune: Tin Roof\nrights: free\nmeter: 6/8\ntempo: 100\n\npart A x2\n1:0 | 3:0- 2:0 1:0- 2:1 | 3:0 t 3:0 3:0- |\n\
                part B\ntempo: 80\n| 2:0 t 2:0 3:0- - |\n";
    // A dotted quarter at 100 a minute: 0.6 s, so a quarter of 0.4 s.
    assert_eq!(
        conducted(&bytes(text, &Performance::default())),
        [
            "0 title Tin Roof",
            "0 rights free",
            "0 key 1",
            "0 tempo 400000",
            "0 meter 1/8 by 36",
            "0 part A",
            "5040 meter 6/8 by 36",
            "60480 part A",
            "126000 tempo 500000",
            "126000 part B",
            "156240 end",
        ]
    );
    let counted = Performance { count_in: true, speed: 50, ..Performance::default() };
    let counted = conducted(&bytes(text, &counted));
    assert_eq!(counted[3..6], ["0 tempo 800000", "0 meter 6/8 by 36", "55440 part A"]);
}

#[test]
fn ten_thousand_bars_are_a_file_like_any_other() {
    let text = format!("tune: Long\nmeter: 6/8\npart A\n{}", "| 3:0 t 3:0 3:0 t 3:0 |\n".repeat(10_000));
    let file = bytes(&text, &Performance::default());
    let file = Smf::parse(&file).unwrap();
    let ends =
        file.tracks.iter().map(|track| track.iter().map(|event| u64::from(event.delta.as_int())).sum());
    assert_eq!(ends.collect::<Vec<u64>>(), [10_000 * 3 * u64::from(QUARTER); 2]);
}

#[test]
fn a_tempo_that_the_form_cannot_say_is_refused() {
    let tune = tune("tune: T\nmeter: 4/4\ntempo: 20\npart A\n| 1:0 |\n");
    let slow =
        |speed| midi(&tune, &schedule(&tune, &play(&tune), &Performance { speed, ..Performance::default() }));
    assert!(slow(18).is_ok());
    assert!(matches!(slow(10), Err(Unwritable::TooSlow)));
}

#[test]
fn strings_are_banjos_and_bend_for_themselves() {
    let file =
        bytes("tune: T\nmeter: 2/4\npart A\n| 1:3^--- 2:0~--- | 1:0------- |\n", &Performance::default());
    let file = Smf::parse(&file).unwrap();
    let (mut now, mut programs, mut bends, mut wheel) = (0, Vec::new(), Vec::new(), Vec::new());
    for event in &file.tracks[1] {
        now += event.delta.as_int();
        let TrackEventKind::Midi { channel, message } = event.kind else { continue };
        match message {
            midly::MidiMessage::ProgramChange { program } => {
                programs.push((channel.as_int(), program.as_int()))
            }
            midly::MidiMessage::PitchBend { bend } => bends.push((channel, now, bend.as_int())),
            midly::MidiMessage::Controller { controller, value } if controller == 1 => {
                wheel.push((channel, now, value.as_int()))
            }
            _ => {}
        }
    }
    assert_eq!(programs, [0, 1, 2, 3, 4].map(|channel| (channel, 105)));
    assert_eq!(bends.len(), 9);
    // The wheel goes twelve semitones with 8192.
    assert_eq!((bends[7].2, bends[8]), (683, (u4::new(0), 20_160, 0)), "up by a semitone, then back");
    assert_eq!(
        wheel.iter().map(|(channel, at, value)| (channel.as_int(), *at, *value)).collect::<Vec<_>>(),
        [(1, 10_080, 64), (1, 40_320, 0)]
    );
}

#[test]
fn words_and_chords_are_told_where_they_are_played() {
    let text =
        "tune: T\nmeter: 4/4\ntempo: 60\nfeel: swing 2:1\n\npart A x2\n| <G> 1:0 \"lift\" t 1:0- 1:0--- |\n";
    let told = conducted(&bytes(text, &Performance::default()));
    let labels: Vec<&String> =
        told.iter().filter(|event| event.contains("chord ") || event.contains("words ")).collect();
    // The second of a pair comes at two thirds of it: 6720 ticks after the beat.
    assert_eq!(labels, ["0 chord G", "6720 words lift", "40320 chord G", "47040 words lift"]);
}

#[test]
fn a_slide_comes_from_the_fret_before_and_ends_at_its_own() {
    let slide = |music: &str| {
        let file =
            bytes(&format!("tune: T\nmeter: 2/4\ntempo: 60\npart A\n{music}"), &Performance::default());
        let file = Smf::parse(&file).unwrap();
        let mut now = 0;
        let mut told = Vec::new();
        for event in &file.tracks[1] {
            now += event.delta.as_int();
            match event.kind {
                TrackEventKind::Midi { message: midly::MidiMessage::PitchBend { bend }, .. } => {
                    told.push(format!("{now} bend {}", bend.as_int()));
                }
                TrackEventKind::Midi { message: midly::MidiMessage::NoteOn { key, .. }, .. } => {
                    told.push(format!("{now} on {key}"));
                }
                _ => {}
            }
        }
        told
    };
    // 45 ms at 60 quarters a minute are 453 ticks; the wheel starts two semitones below.
    let told = slide("| 3:2 s4------ |");
    assert_eq!(told[..4], ["0 on 57", "2520 bend -1365", "2520 on 59", "2576 bend -1195"]);
    assert_eq!((told.len(), told[10].as_str()), (11, "2973 bend 0"));
    // A slide from beyond the wheel's reach begins an octave away.
    assert!(slide("| 3:22 s2------ |").contains(&"2520 bend 8191".to_owned()));
}
