//! What is heard, against independent readers, an independent synthesizer and an independent ear; each script
//! names its sources.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs::{self, File};
use std::io::BufWriter;
use std::path::Path;

use lope_sound::{Performance, Schedule, midi, schedule, wav};
use lope_tests::outside::ask;
use lope_tests::program::root;
use lope_tests::tunes::{Trouble, tune};
use lope_tune::{Defaults, Tune, play, read};
use serde_json::{Value, json};

#[test]
fn midi_files_are_read_as_the_schedule_says() {
    let feels = ["straight", "swing 2:1", "swing 3:2"];
    let made = (0..12_u64).map(|seed| {
        let text = tune(seed, 1000, if seed % 3 == 2 { Trouble::Often } else { Trouble::None });
        text.replacen("\ntempo", &format!("\nfeel: {}\ntempo", feels[seed as usize % 3]), 1)
    });
    let texts: Vec<String> =
        [book("the-heron-at-low-water"), CHANGING.to_owned()].into_iter().chain(made).collect();
    let performances = [
        Performance::default(),
        Performance { speed: 70, count_in: true, click: true, ..Performance::default() },
        Performance { passage: Some(1..4), times: 3, speed: 55, ..Performance::default() },
    ];
    let question = texts.iter().zip(performances.iter().cycle()).map(|(text, performance)| {
        let (tune, schedule) = scheduled(text, performance);
        let whole = schedule.end.since_start();
        json!({
            "file": hex(&midi(&tune, &schedule).unwrap()),
            "title": tune.header.title,
            "quarters": 4 * whole.numerator() / whole.denominator(),
            "clicks": schedule.clicks.iter().map(|click| click.onset.to_string()).collect::<Vec<_>>(),
            "sounds": schedule.sounds.iter().map(|sound| json!({
                "string": sound.string, "key": sound.pitch.0, "level": sound.level,
                "on": sound.onset.to_string(), "off": sound.end().to_string(),
                "seconds": [schedule.seconds(sound.onset), schedule.seconds(sound.end())],
            })).collect::<Vec<_>>(),
        })
    });
    ask("midi", &Value::from(question.collect::<Vec<_>>()));
}

#[test]
fn strings_and_tunes_are_in_tune_and_in_time() {
    let folder = tempfile::tempdir().unwrap();
    let half = Performance { speed: 50, ..Performance::default() };
    let mut strings: Vec<Value> = (1..=5)
        .map(|string| {
            heard(folder.path(), &format!("string-{string}"), &one_string(string), &Performance::default())
        })
        .collect();
    for (name, performance) in [("jig", Performance::default()), ("slow-jig", half.clone())] {
        strings.push(heard(folder.path(), name, JIG_ON_ONE_STRING, &performance));
    }
    let heron = book("the-heron-at-low-water");
    let mut tunes = [("heron", Performance::default()), ("slow-heron", half)]
        .map(|(name, performance)| heard(folder.path(), name, &heron, &performance));
    // A note that begins while its string rings on at the same pitch need not be louder.
    tunes.iter_mut().for_each(|tune| tune["missed"] = json!(0.05));
    ask("wav", &json!({ "strings": strings, "tunes": tunes }));
}

#[test]
fn a_general_midi_synthesizer_plays_the_same_notes() {
    let question = [(JIG_ON_ONE_STRING.to_owned(), true, 0.05), (book("the-heron-at-low-water"), false, 0.1)];
    let question = question.map(|(text, alone, missed)| {
        let (tune, schedule) = scheduled(&text, &Performance::default());
        let file = hex(&midi(&tune, &schedule).unwrap());
        json!({ "file": file, "alone": alone, "missed": missed, "notes": notes(&schedule) })
    });
    ask("synthesizer", &Value::from(question.to_vec()));
}

/// Slow enough for an ear that listens to a tenth of a second at a time.
const JIG_ON_ONE_STRING: &str = "tune: One Rope\nmeter: 6/8\ntempo: 60\n\npart A x2\n\
    | 1:0 h2 1:3  1:5 p3 1:2 | 1:0- 1:7  1:5 p4 1:2 | 1:3 s5 1:7  1:9 p7 1:5 | 1:2 h3 1:2  1:0- - |\n";

/// Meters, tempos and a capo that change what a reader has to add up.
const CHANGING: &str = "tune: Half a Gale\nmeter: 6/8\ntempo: 97\ncapo: 2\n\npart A x2\n1:0 | 3:0 t 2:0  1:0^ t 2:0 | \
    {3:0 h2 2:0 t 1:0}/3 1:0~ t |\nmeter: 7/8\ntempo: 133\n| 1:0 t 1:2  3:0 t [3:0 2:1 1:2]- |\npart B\nmeter: 2/4\n\
    | [4:0 3:0 2:0 1:0]-- t _- 2:0- | % |\n";

/// Open, and at frets up to the twelfth, a second each.
fn one_string(string: u8) -> String {
    let frets: &[u8] = if string == 5 { &[0, 6, 7, 9, 12, 17] } else { &[0, 1, 2, 3, 4, 5, 7, 9, 12] };
    let bars = frets.iter().map(|fret| format!("| {string}:{fret}-- - |\n")).collect::<String>();
    format!("tune: String {string}\nmeter: 2/4\nunit: 1/8\ntempo: 120\n\npart A\n{bars}")
}

/// A WAV file of `text` in `folder`, and what must be heard in it.
fn heard(folder: &Path, name: &str, text: &str, performance: &Performance) -> Value {
    let path = folder.join(format!("{name}.wav"));
    let (_, schedule) = scheduled(text, performance);
    wav(&schedule, &mut BufWriter::new(File::create(&path).unwrap())).unwrap();
    json!({ "path": path, "seconds": schedule.seconds(schedule.end), "notes": notes(&schedule) })
}

/// From when to when each note sounds, in seconds, and its MIDI key.
fn notes(schedule: &Schedule) -> Vec<Value> {
    let sounds = schedule.sounds.iter();
    sounds
        .map(|sound| json!([schedule.seconds(sound.onset), schedule.seconds(sound.end()), sound.pitch.0]))
        .collect()
}

fn scheduled(text: &str, performance: &Performance) -> (Tune, Schedule) {
    let tune = read(text, &lope_syntax::parse(text), &Defaults::default()).tune;
    let schedule = schedule(&tune, &play(&tune), performance);
    assert!(!schedule.sounds.is_empty());
    (tune, schedule)
}

fn book(name: &str) -> String {
    fs::read_to_string(root().join(format!("server/src/cli/start/book/{name}.lope"))).unwrap()
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
