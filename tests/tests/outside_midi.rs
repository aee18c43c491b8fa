//! MIDI files that mido makes, as we read them.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use lope_exchange::midi::read;
use lope_tests::outside::ask;
use lope_tune::{Bar, Melody, Moment};
use serde_json::{Value, json};

#[test]
fn files_that_others_make_are_read_as_they_were_meant() {
    let files: Value = serde_json::from_str(&ask("played", &Value::Null)).unwrap();
    for file in files["melodies"].as_array().unwrap() {
        let name = file["name"].as_str().unwrap();
        let read = read(&bytes(file), None).unwrap();
        assert_eq!(Value::from(notes(&read.melody)), file["notes"], "{name}: {:?}", read.remarks);
        if let Some(says) = file["says"].as_str() {
            let said = read.remarks.iter().any(|remark| remark.text.contains(says));
            assert!(said, "{name}: {:?}", read.remarks);
        }
        let tune = &read.melody.tune;
        if let Some(bars) = file["bars"].as_array() {
            let lengths: Vec<String> = tune.bars.iter().map(|bar| bar.length.to_string()).collect();
            assert_eq!(Value::from(lengths), Value::from(bars.clone()), "{name}");
        }
        if let Some(labels) = file["labels"].as_array() {
            let starts: Vec<Moment> = starts(&tune.bars).collect();
            let found = tune.labels.iter().map(|label| {
                let at = starts[label.bar.index()] + label.onset.since_start();
                json!([at.to_string(), label.text])
            });
            assert_eq!(Value::from(found.collect::<Vec<_>>()), Value::from(labels.clone()), "{name}");
        }
        if let Some(tempo) = file["tempo"].as_u64() {
            assert_eq!(u64::from(tune.frames[0].tempo), tempo, "{name}");
        }
    }
    let refused = files["refused"].as_array().unwrap().iter();
    let says: Vec<String> = refused
        .map(|file| format!("{}: {}", file["name"].as_str().unwrap(), read(&bytes(file), None).unwrap_err()))
        .collect();
    assert_eq!(
        says,
        [
            "cut short: the file is cut short: copy or save it again",
            "cut in its head: the file is cut short: copy or save it again",
            "in seconds: it counts time in seconds and not in beats: save it with ticks to a quarter note",
            "drums: there are only drums in it: choose a file with a melody",
            "empty: there is no note in it: choose a file with a melody",
            "no file: this is no standard MIDI file: it does not begin as one",
        ]
    );
}

#[test]
fn another_track_can_be_chosen() {
    let files: Value = serde_json::from_str(&ask("played", &Value::Null)).unwrap();
    let several =
        files["melodies"].as_array().unwrap().iter().find(|file| file["name"] == "one among others");
    let file = bytes(several.unwrap());
    let said = read(&file, None).unwrap().remarks[0].text.clone();
    assert!(said.starts_with("track 2 is read; --track reads another of 1 (24 notes), 2 Lead ("), "{said}");
    let chords = read(&file, Some(1)).unwrap();
    assert_eq!(chords.melody.notes.len(), 8);
    assert!(
        chords.remarks.iter().any(|remark| remark.text.contains("and 16 are left out")),
        "{:?}",
        chords.remarks
    );
    assert!(
        read(&file, Some(3))
            .unwrap_err()
            .text
            .starts_with("there is no track 3; it has 1 (24 notes), 2 Lead")
    );
}

fn bytes(file: &Value) -> Vec<u8> {
    let digits = file["file"].as_str().unwrap().as_bytes();
    digits.chunks(2).map(|two| u8::from_str_radix(std::str::from_utf8(two).unwrap(), 16).unwrap()).collect()
}

/// When each of `bars` begins.
fn starts(bars: &[Bar]) -> impl Iterator<Item = Moment> {
    bars.iter().scan(Moment::START, |end, bar| {
        let start = *end;
        *end += bar.length;
        Some(start)
    })
}

/// Every note, ties joined: onset and length in whole notes from the first on, and its key number.
fn notes(melody: &Melody) -> Vec<Value> {
    let mut notes: Vec<(Moment, lope_tune::Duration, u8)> = Vec::new();
    let starts: Vec<Moment> = starts(&melody.tune.bars).collect();
    for note in &melody.notes {
        let start = starts[note.bar.index()];
        match notes.last_mut().filter(|_| note.tied) {
            Some(last) => last.1 += note.length,
            None => notes.push((start + note.onset.since_start(), note.length, note.pitch.0)),
        }
    }
    let first = notes.first().map_or(Moment::START, |note| note.0);
    notes
        .iter()
        .map(|(onset, length, key)| json!([(*onset - first).to_string(), length.to_string(), key]))
        .collect()
}
