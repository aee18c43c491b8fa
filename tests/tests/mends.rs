//! Safe mends keep the music, come to an end in whatever order they are made, and leave nothing of their
//! kind.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::sync::Arc;

use lope_desk::{Mend, Mended, Page, Reading, Settings, apply};
use lope_syntax::tunes;
use lope_tests::soup;
use lope_tests::tunes::{Dice, Trouble};
use lope_tune::{Moment, Pitch, Tune, play};
use proptest::prelude::*;

proptest! {
    #[test]
    fn all_mends_together_keep_the_music_and_leave_none(text in troubled()) {
        let settings = Arc::new(Settings::default());
        let mended = Mended::new(&text, &settings);
        let (before, after) = (Page::read(&text, &settings), Page::read(&mended.text, &settings));
        for (before, after) in before.entries().zip(after.entries()) {
            prop_assert_eq!(heard(before.reading.tune()), heard(after.reading.tune()), "{}", mended.text);
        }
        for entry in after.entries() {
            let left = safe_mends(entry.reading);
            prop_assert!(left.is_empty(), "{:?} left in\n{}", left, mended.text);
        }
        prop_assert_eq!(&Mended::new(&mended.text, &settings).text, &mended.text);
    }

    #[test]
    fn mends_one_by_one_in_any_order_come_to_the_same_music(text in troubled(), seed in any::<u64>()) {
        let settings = Arc::new(Settings::default());
        let mut dice = Dice::new(seed);
        let mut reading = Reading::new(&text[tunes(&text)[0].clone()], &settings);
        let music = heard(reading.tune());
        // Each mend takes one trouble away and may uncover another: more than so many go round in circles.
        let most = 100 + 4 * reading.findings().len();
        for _ in 0..most {
            let mends = safe_mends(&reading);
            if mends.is_empty() {
                break;
            }
            let mend = &mends[dice.below(mends.len())];
            let text = apply(reading.text(), &mend.edits);
            let after = Reading::new(text, &settings);
            prop_assert_eq!(&heard(after.tune()), &music, "{}:\n{}\n{}", mend.title, reading.text(), after.text());
            reading = after;
        }
        let left = safe_mends(&reading);
        prop_assert!(left.is_empty(), "{:?} left in\n{}", left, reading.text());
    }
}

/// Music with trouble, and any text.
fn troubled() -> impl Strategy<Value = String> {
    prop_oneof![4 => soup::tune(Trouble::Often), 2 => soup::spoilt(), 1 => soup::words()]
}

/// The first safe mend of each finding that has one: what a player who takes every offer gets.
fn safe_mends(reading: &Reading) -> Vec<Mend> {
    let first = |finding| reading.mends(finding).into_iter().find(|mend| mend.safe);
    reading.findings().iter().filter_map(first).collect()
}

/// Every pitch and when it sounds, repeats and all.
fn heard(tune: &Tune) -> Vec<(Moment, Option<Pitch>)> {
    let mut heard: Vec<_> = play(tune).notes.iter().map(|note| (note.onset, note.pitch)).collect();
    heard.sort();
    heard
}
