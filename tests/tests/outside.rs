//! What we say against what independent judges say; each script names its sources.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fmt::Write;

use lope_arrange::run::BLUES;
use lope_tests::outside::ask;
use lope_tests::tunes::Dice;
use lope_tune::{
    Defaults, Duration, Key, Meter, Mode, NAMED, Neck, Pitch, Reading, Tuning, chord_qualities, chord_tones,
};
use serde_json::{Value, json};

#[test]
fn pitches_are_those_of_equal_temperament() {
    let spelled = ["gDGAD", "g#D#G#CD#", "eCGAD", "gCGCE", "bbFBbDF"];
    let mut sounds = Vec::new();
    for notes in NAMED.iter().map(|(_, notes)| *notes).chain(spelled) {
        let tuning = Tuning::parse(notes).unwrap();
        for string in 1..=5 {
            for (fret, capo) in (0..=22).flat_map(|fret| [0, 2, 12].map(|capo| (fret, capo))) {
                let pitch = tuning.sounds(string, fret, capo);
                sounds.push(json!({
                    "notes": notes, "string": string, "fret": fret, "capo": capo,
                    "midi": pitch.map(|pitch| pitch.0), "name": pitch.map(|pitch| pitch.to_string()),
                }));
            }
        }
    }
    ask("pitch", &Value::from(sounds));
}

#[test]
fn frets_lie_where_luthiers_put_them() {
    let neck = Neck::default();
    let from_nut: Vec<f64> = (0..=neck.frets).map(|fret| neck.from_nut_mm(fret)).collect();
    ask("neck", &json!({ "scale_mm": neck.scale_mm, "from_nut_mm": from_nut }));
}

#[test]
fn time_adds_up_as_it_does_in_music21() {
    let mut dice = Dice::new(18);
    let rhythms: Vec<Value> = (0..200).map(|_| rhythm(&mut dice)).collect();
    let meters = (1..=15).flat_map(|beats| [2, 4, 8, 16].map(|unit| Meter { beats, unit }));
    let meters: Vec<Value> = meters
        .map(|meter| {
            json!({
                "meter": meter.to_string(), "bar": meter.bar().to_string(),
                "compound": meter.is_compound(), "beat": meter.beat().to_string(),
            })
        })
        .collect();
    ask("rhythm", &json!({ "rhythms": rhythms, "meters": meters }));
}

#[test]
fn chords_and_scales_have_the_tones_that_music21_gives_them() {
    let roots = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
    let endings: Vec<&str> = chord_qualities().chain(["/B", "/G", "m/F"]).collect();
    let symbols = roots.iter().flat_map(|root| endings.iter().map(move |ending| format!("{root}{ending}")));
    let chords: Vec<Value> =
        symbols.map(|symbol| json!({ "symbol": symbol, "tones": chord_tones(&symbol).unwrap() })).collect();
    let keys = || (0..12).map(|tonic| (Pitch(tonic).letter(), tonic));
    let scales = keys().flat_map(|(name, tonic)| {
        Mode::ALL.map(move |mode| {
            let key = Key { tonic, mode };
            let tones: Vec<u8> = (0..12).filter(|class| key.has(Pitch(*class))).collect();
            json!({ "tonic": name, "mode": mode.name(), "tones": tones })
        })
    });
    let scales: Vec<Value> = scales.collect();
    let blues = keys().map(|(name, tonic)| {
        let tones: Vec<u8> = BLUES.iter().map(|step| (tonic + step) % 12).collect();
        json!({ "tonic": name, "tones": tones })
    });
    let blues: Vec<Value> = blues.collect();
    ask("chords", &json!({ "chords": chords, "scales": scales, "blues": blues }));
}

/// One bar of plain notes and braces, as it is asked and as the tune's text reads.
fn rhythm(dice: &mut Dice) -> Value {
    let meter = dice.pick(&["6/8", "9/8", "12/8", "4/4", "3/4", "2/4", "7/8"]);
    let (mut items, mut text) = (Vec::new(), String::new());
    for _ in 0..=dice.below(8) {
        if dice.once_in(3) {
            let (notes, slots) =
                dice.pick(&[(3, 2), (3, 1), (2, 3), (2, 1), (6, 4), (5, 4), (9, 6), (12, 8), (7, 2)]);
            items.push(json!([notes, slots]));
            let _ = write!(text, "{{{}}}/{slots} ", vec!["1:0"; notes].join(" "));
        } else {
            let slots = 1 + dice.below(4);
            items.push(json!(slots));
            let _ = write!(text, "1:0{} ", "-".repeat(slots - 1));
        }
    }
    let reading = read(&format!("tune: Count\nmeter: {meter}\nunit: 1/8\npart A\n| {text}|\n"));
    let notes = reading.tune.events.iter();
    let notes: Vec<_> = notes
        .map(|event| [event.onset.since_start(), event.length].map(|time: Duration| time.to_string()))
        .collect();
    let bar = &reading.tune.bars[0];
    json!({
        "meter": meter, "slot": "1/8", "items": items, "notes": notes,
        "length": bar.length.to_string(), "bar": Meter::parse(meter).unwrap().bar().to_string(),
    })
}

fn read(text: &str) -> Reading {
    lope_tune::read(text, &lope_syntax::parse(text), &Defaults::default())
}
