//! Laws of the schedule, held by tunes of all kinds, clean and troubled.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::ops::Range;

use lope_sound::{Hand, Hands, Performance, Schedule, midi, render, schedule};
use lope_tests::soup::text;
use lope_tests::tunes::{Trouble, tune};
use lope_tune::{Defaults, Moment, Played, Tune, play, read};
use proptest::prelude::*;

fn music(seed: u64, trouble: Trouble, feel: &str) -> (Tune, Played) {
    let text = tune(seed, 1500, trouble).replacen("\ntempo", &format!("\nfeel: {feel}\ntempo"), 1);
    let tune = read(&text, &lope_syntax::parse(&text), &Defaults::default()).tune;
    let played = play(&tune);
    (tune, played)
}

fn performances(bars: usize) -> impl Strategy<Value = Performance> {
    let passage = (0..bars, 1..=bars).prop_map(move |(from, count)| from..(from + count).min(bars));
    let passage: BoxedStrategy<Option<Range<usize>>> = prop::option::of(passage).boxed();
    (10..=200_u32, any::<bool>(), any::<bool>(), passage, 1..4_u32).prop_map(
        |(speed, count_in, click, passage, times)| Performance {
            speed,
            count_in,
            click,
            hands: Hands::ALL,
            passage,
            times,
        },
    )
}

fn cases() -> impl Strategy<Value = (Tune, Played, Performance)> {
    let feels = prop::sample::select(vec!["straight", "swing 2:1", "swing 3:2", "swing 1:3"]);
    let troubles = prop::sample::select(vec![Trouble::None, Trouble::Often]);
    (any::<u64>(), troubles, feels).prop_flat_map(|(seed, trouble, feel)| {
        let (tune, played) = music(seed, trouble, feel);
        let performances = performances(played.bars.len());
        (Just(tune), Just(played), performances)
    })
}

fn seconds(schedule: &Schedule) -> Vec<f64> {
    let onsets = schedule.sounds.iter().flat_map(|sound| [sound.onset, sound.end()]);
    onsets.map(|moment| schedule.seconds(moment)).collect()
}

proptest! {
    #[test]
    fn sounds_are_in_order_inside_the_schedule_and_alone_on_their_string((tune, played, performance) in cases()) {
        let schedule = schedule(&tune, &played, &performance);
        prop_assert!(schedule.sounds.is_sorted_by_key(|sound| sound.onset));
        prop_assert!(schedule.clicks.is_sorted_by_key(|click| click.onset));
        let mut until = [Moment::START; 6];
        for sound in &schedule.sounds {
            prop_assert!(sound.length.is_positive() && sound.end() <= schedule.end, "{:?}", sound);
            prop_assert!(sound.onset >= schedule.start(), "{:?}", sound);
            prop_assert!(sound.onset >= until[usize::from(sound.string)], "{:?}", sound);
            prop_assert!((1..=127).contains(&sound.level));
            prop_assert!(schedule.bars[sound.bar].played.start <= sound.end());
            until[usize::from(sound.string)] = sound.end();
        }
    }

    #[test]
    fn every_note_that_a_neck_can_sound_is_heard((tune, played, performance) in cases()) {
        let whole = Performance { passage: None, times: 1, ..performance };
        let schedule = schedule(&tune, &played, &whole);
        let mut expected: Vec<_> = played.notes.iter().filter_map(|note| Some((note.note, note.pitch?))).collect();
        let mut heard: Vec<_> = schedule.sounds.iter().map(|sound| (sound.note, sound.pitch)).collect();
        expected.sort();
        heard.sort();
        // Of two notes at once on one string only the last is heard.
        let at_once = |note: &lope_tune::PlayedNote| {
            let near = played.notes.iter().filter(|other| (other.onset, other.string) == (note.onset, note.string));
            near.count() > 1
        };
        let doubled = played.notes.iter().any(at_once);
        prop_assert!(heard.iter().all(|note| expected.contains(note)));
        prop_assert!(doubled || heard == expected);
    }

    #[test]
    fn speed_scales_all_times_and_changes_nothing_else((tune, played, performance) in cases()) {
        let at = |speed| schedule(&tune, &played, &Performance { speed, ..performance.clone() });
        let (full, half) = (at(100), at(50));
        prop_assert_eq!(&full.sounds, &half.sounds);
        let doubled: Vec<f64> = seconds(&full).into_iter().map(|seconds| 2.0 * seconds).collect();
        prop_assert_eq!(doubled, seconds(&half));
        let any = at(performance.speed);
        for (full, any) in seconds(&full).into_iter().zip(seconds(&any)) {
            prop_assert!((full * 100.0 / f64::from(performance.speed) - any).abs() < 1e-9 * (1.0 + any));
        }
    }

    #[test]
    fn playing_over_is_the_passage_again_and_again((tune, played, performance) in cases()) {
        let at = |times| schedule(&tune, &played, &Performance { times, ..performance.clone() });
        let (once, thrice) = (at(1), at(3));
        prop_assert_eq!(thrice.sounds.len(), 3 * once.sounds.len());
        prop_assert_eq!(thrice.bars.len(), 3 * once.bars.len());
        for (first, sound) in once.sounds.iter().cycle().zip(&thrice.sounds) {
            prop_assert_eq!((first.note, first.pitch, first.level), (sound.note, sound.pitch, sound.level));
        }
    }

    #[test]
    fn the_hands_together_are_everything((tune, played, performance) in cases()) {
        let all = schedule(&tune, &played, &performance);
        let mut parts = Hand::ALL.map(|hand| {
            let alone = Performance { hands: Hands::only(&[hand]), ..performance.clone() };
            schedule(&tune, &played, &alone).sounds
        }).concat();
        let key = |sound: &lope_sound::Sound| (sound.onset, sound.string);
        parts.sort_by_key(key);
        let mut sounds = all.sounds;
        sounds.sort_by_key(key);
        prop_assert_eq!(parts, sounds);
    }

    #[test]
    fn every_tune_is_a_midi_file((tune, played, performance) in cases()) {
        let schedule = schedule(&tune, &played, &performance);
        prop_assert!(midi(&tune, &schedule).is_ok());
    }

    #[test]
    fn any_text_is_played_as_far_as_it_goes(text in text(), performance in performances(40)) {
        let tune = read(&text, &lope_syntax::parse(&text), &Defaults::default()).tune;
        let schedule = schedule(&tune, &play(&tune), &performance);
        prop_assert!(schedule.sounds.iter().all(|sound| sound.length.is_positive() && sound.end() <= schedule.end));
        let _ = midi(&tune, &schedule);
        if schedule.sounds.len() < 40 && schedule.seconds(schedule.end) < 60.0 {
            render(&schedule, |piece| {
                prop_assert!(piece.iter().all(|sample| sample.abs() < 1.0));
                Ok(())
            })?;
        }
    }
}
