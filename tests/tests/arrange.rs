//! Settings of invented melodies: every note comes at its moment and pitch, and no rule about the hands has
//! anything to say.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::sync::Arc;

use lope_arrange::{Level, Setting, Style, Trouble, Wishes, arrange, naive};
use lope_desk::{Family, Reading, Settings};
use lope_exchange::musicxml;
use lope_tests::outside::ask;
use lope_tests::tunes::Dice;
use lope_tune::{
    Bar, BarContent, BarId, Duration, Frame, Gait, Key, Melody, MelodyNote, Meter, Mode, Moment, Pitch,
    Section, SectionKind, Tune, play, write,
};
use proptest::prelude::*;
use serde_json::{Value, json};

proptest! {
    #[test]
    fn a_setting_keeps_every_note_and_the_gait(seed in any::<u64>(), style in style(), beginner in any::<bool>()) {
        let melody = melody(seed);
        let level = if beginner { Level::Beginner } else { Level::Player };
        let wishes = Wishes { style, level, ..Wishes::default() };
        match arrange(&melody, &wishes) {
            Ok(settings) => settings.iter().try_for_each(|setting| check(&melody, setting))?,
            // A beginner cannot play everything; two hands that may do all they can should get through.
            Err(Trouble::NoWay { .. }) if beginner => {}
            Err(trouble) => prop_assert!(false, "{trouble:?} in {:?}", melody.notes),
        }
    }
}

fn style() -> impl Strategy<Value = Style> {
    prop_oneof![Just(Style::Plain), Just(Style::DroneRich), Just(Style::Melodic)]
}

fn check(melody: &Melody, setting: &Setting) -> Result<(), TestCaseError> {
    let text = write(&setting.tune);
    let reading = Reading::new(text.as_str(), &Arc::new(Settings::default()));
    let hands = |family| matches!(family, Family::RightHand | Family::LeftHand | Family::Time);
    // How fast the falls come, and whether bars and parts are even, is the melody's own doing.
    let own = ["fast-falls", "long-bar", "part-length", "pickup-unpaid", "short-bar", "thumb-unplanted"];
    for finding in reading.findings() {
        let rule = finding.rule.rule();
        prop_assert!(
            !hands(rule.family) || own.contains(&rule.name),
            "{}: {}\n{text}",
            rule.name,
            finding.message
        );
    }
    prop_assert_eq!(reading.tune(), &setting.tune, "{}", text);
    let once = Tune { sections: once_through(&setting.tune), ..setting.tune.clone() };
    let played = play(&once).notes;
    let mut start = Moment::START;
    // Where the slots of the bar before end.
    let mut before = Moment::START;
    for (id, bar) in (0..).map(BarId).zip(&melody.tune.bars) {
        for (at, note) in melody.notes.iter().enumerate().filter(|(_, note)| note.bar == id && !note.tied) {
            if setting.left_out.iter().any(|left| left.note == at) {
                continue;
            }
            let pitch = Pitch((i16::from(note.pitch.0) + i16::from(setting.choice.up)) as u8);
            let onset = start + note.onset.since_start();
            // A grace note comes within a stroke before its note, at the end of a bar too.
            let end = if onset == start { before } else { onset };
            let stroke = melody.tune.frame(bar).gait.step();
            let is_there = |moment: Moment| match note.grace {
                true => end - stroke < moment && moment < end,
                false => moment == onset,
            };
            let sounds = played.iter().any(|played| is_there(played.onset) && played.pitch == Some(pitch));
            prop_assert!(sounds, "{pitch} at {onset} is missing in\n{text}");
        }
        before = start + bar.length;
        start += bar.length.max(melody.tune.frame(bar).meter.bar());
    }
    Ok(())
}

/// One part of all bars, each played once in the time it is written.
fn once_through(tune: &Tune) -> Vec<Section> {
    let kind = SectionKind::Part { times: 1, pickup: false };
    vec![Section { kind, name: "A".to_owned(), bars: 0..tune.bars.len() as u32 }]
}

/// What music21 reads in tunes of three old books is what we read; and each becomes a setting that is easier
/// than one made without looking ahead.
#[test]
fn published_tunes_are_read_as_music21_reads_them_and_set() {
    let tunes: Vec<Value> = serde_json::from_str(&ask("melodies", &json!({ "tunes": 21 }))).unwrap();
    assert_eq!(tunes.len(), 63);
    let (mut notes, mut ornaments, mut with_drops, mut low) = (0, 0, 0, 0);
    let mut without: Vec<String> = Vec::new();
    for tune in tunes {
        let melody = musicxml::read(tune["musicxml"].as_str().unwrap().as_bytes()).unwrap().melody;
        let title = &melody.tune.header.title;
        let ours: Vec<Value> = as_listed(&melody);
        let theirs = tune["notes"].as_array().unwrap();
        for (at, (theirs, ours)) in theirs.iter().zip(&ours).enumerate() {
            assert_eq!(theirs, ours, "note {at} of {title}");
        }
        assert_eq!(theirs.len(), ours.len(), "{title}");
        let settings = match arrange(&melody, &Wishes::default()) {
            Ok(settings) => settings,
            Err(trouble) => {
                let place = match trouble {
                    Trouble::NoWay { bar, onset } => format!("bar {} at {onset:?}", bar.0),
                    other => format!("{other:?}"),
                };
                without.push(format!("{title}: {place}"));
                continue;
            }
        };
        let setting = &settings[0];
        check(&melody, setting).unwrap();
        let naive = naive(&melody, &setting.choice, &Wishes::default());
        assert!(setting.melody_effort < naive.effort, "{title}: {} {naive:?}", setting.melody_effort);
        notes += ours.len();
        ornaments += setting.left_out.len();
        with_drops += usize::from(setting.tally.drops > 0);
        low += usize::from(setting.tally.highest <= 5);
    }
    // It spans 29 semitones from A to D.
    assert_eq!(without, ["7th Regiment -- Reel: OffTheNeck"]);
    println!(
        "{notes} notes, {ornaments} ornaments left out; {with_drops} with a dropped thumb, {low} up to the fifth fret"
    );
}

/// Every note of `melody` as music21's are listed: onset and length, key number, whether it is a grace note,
/// and whether it goes on from the one before.
fn as_listed(melody: &Melody) -> Vec<Value> {
    let mut starts = vec![Moment::START];
    starts.extend(melody.tune.bars.iter().scan(Moment::START, |at, bar| {
        *at += bar.length;
        Some(*at)
    }));
    let notes = melody.notes.iter().map(|note| {
        let onset = starts[note.bar.index()] + note.onset.since_start();
        json!([onset.to_string(), note.length.to_string(), note.pitch.0, note.grace, note.tied])
    });
    notes.collect()
}

/// One part of four bars, stepwise for the most part, in a key and meter of the trade.
fn melody(seed: u64) -> Melody {
    let mut dice = Dice::new(seed);
    let (beats, unit) = dice.pick(&[(6, 8), (9, 8), (4, 4), (3, 4)]);
    let meter = Meter { beats, unit };
    let slot = Duration::new(1, 8);
    let frame = Frame { meter, unit: slot, gait: Gait::of(meter, slot), ..Frame::default() };
    let mode = dice.pick(&[Mode::Ionian, Mode::Dorian, Mode::Mixolydian, Mode::Aeolian]);
    let key = Key { tonic: dice.pick(&[7, 9, 2, 0]), mode };
    let mut melody = Melody { key: Some(key), ..Melody::default() };
    let scale: Vec<u8> = (62..79).filter(|pitch| key.has(Pitch(*pitch))).collect();
    let mut step = scale.len() / 2;
    for bar in 0..4 {
        let mut onset = Duration::ZERO;
        while (meter.bar() - onset).is_positive() {
            let left = meter.bar() - onset;
            let is_half_way = !onset.is_multiple_of(slot);
            let length = dice.pick(&[slot, slot, slot, slot.times(2), slot.times(3), slot.share(2)]);
            let length = if is_half_way { slot.share(2) } else { length };
            let length = if length > left { left } else { length };
            let leap = dice.pick(&[1, 1, 1, 2, 0, 3]);
            step =
                if dice.once_in(2) { step.saturating_sub(leap) } else { (step + leap).min(scale.len() - 1) };
            if !dice.once_in(12) {
                let note = MelodyNote {
                    bar: BarId(bar),
                    onset: Moment::START + onset,
                    length,
                    pitch: Pitch(scale[step]),
                    tied: false,
                    grace: false,
                    fixed: None,
                };
                if dice.once_in(6) {
                    let pitch = Pitch(scale[(step + 1).min(scale.len() - 1)]);
                    melody.notes.push(MelodyNote { length: Duration::ZERO, pitch, grace: true, ..note });
                }
                melody.notes.push(note);
            }
            onset += length;
        }
        melody.tune.bars.push(Bar {
            frame: 0,
            content: BarContent::Slots,
            events: 0..0,
            length: meter.bar(),
            lead: Duration::ZERO,
        });
    }
    let kind = SectionKind::Part { times: 1, pickup: false };
    melody.tune.sections.push(Section { kind, name: "A".to_owned(), bars: 0..4 });
    melody.tune.frames.push(frame);
    melody.tune.header.title = "Invented".to_owned();
    melody
}
