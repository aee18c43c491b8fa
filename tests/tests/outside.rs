//! What we say against what independent judges say; each script names its sources.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fmt::Write;

use lope_tests::outside::ask;
use lope_tests::tunes::Dice;
use lope_tune::{Defaults, Duration, Meter, NAMED, Neck, Reading, Tuning};
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
