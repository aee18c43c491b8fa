//! Refactorings keep what they promise, on tunes and on any text.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeMap;
use std::sync::Arc;

use lope_desk::{Edit, Reading, Settings, Span, apply, tidied};
use lope_syntax::{TokenKind, tunes};
use lope_tests::soup;
use lope_tests::tunes::{self, Trouble};
use lope_tune::{Duration, How, Moment, Pitch, Stroke, play};
use proptest::prelude::*;
use proptest::sample::Index;

/// The one that promises only the same notes in the same bars: it changes when they sound.
const GAIT: &str = "refactor.rewrite.gait";

/// The one that promises only the same sounds: it changes what makes them.
const AGAIN: &str = "refactor.rewrite.again";

/// Those that change what is played: `runs.rs` holds what they promise.
const OTHER_MUSIC: [&str; 3] = ["refactor.rewrite.run", "refactor.rewrite.straight", "refactor.rewrite.tab"];

proptest! {
    #[test]
    fn the_same_music_to_the_same_strokes(text in text(), places in places()) {
        let before = reading(&text);
        for selection in places.iter().map(|place| selection(before.text(), place)) {
            for (kind, offer) in before.refactorings(selection, keeps_music) {
                let Ok(edits) = offer.edits else { continue };
                prop_assert!(in_order(&edits, before.text()), "{kind}: {edits:?}");
                let after = reading(&apply(before.text(), &edits));
                prop_assert_eq!(
                    heard(&before), heard(&after),
                    "{}: {}\n{}\n{}", kind, offer.title, before.text(), after.text()
                );
                prop_assert_eq!(comments(&before), comments(&after), "{}\n{}", offer.title, after.text());
            }
        }
    }

    #[test]
    fn a_tidy_tune_stays_tidy(text in soup::tune(Trouble::None), places in places()) {
        let settings = Settings::default();
        let before = reading(&tidied(&text, &settings));
        for selection in places.iter().map(|place| selection(before.text(), place)) {
            // Those that change what is played ask for runs in every bar, which takes its time: `runs.rs` does.
            let whole = |kind: &str| kind != "refactor.rewrite.string" && !OTHER_MUSIC.contains(&kind);
            for (kind, offer) in before.refactorings(selection, whole) {
                let Ok(edits) = offer.edits else { continue };
                let after = apply(before.text(), &edits);
                prop_assert_eq!(&tidied(&after, &settings), &after, "{}: {}", kind, offer.title);
            }
        }
    }

    #[test]
    fn bars_set_again_sound_the_same_and_nothing_else_moves(text in text(), places in places()) {
        let before = reading(&text);
        for selection in places.iter().map(|place| selection(before.text(), place)) {
            for (_, offer) in before.refactorings(selection, |kind| kind == AGAIN) {
                let Ok(edits) = offer.edits else { continue };
                let after = reading(&apply(before.text(), &edits));
                prop_assert_eq!(sounds(&before), sounds(&after), "{}\n{}", offer.title, after.text());
                prop_assert_eq!(comments(&before), comments(&after), "{}\n{}", offer.title, after.text());
                prop_assert!(trouble(&after) <= trouble(&before), "{}\n{}", offer.title, after.text());
                let lines = |reading: &Reading| reading.text().lines().count();
                prop_assert_eq!(lines(&before), lines(&after), "{}\n{}", offer.title, after.text());
            }
        }
    }

    #[test]
    fn another_gait_has_the_same_notes_in_the_same_bars(text in text(), places in places()) {
        let before = reading(&text);
        for selection in places.iter().map(|place| selection(before.text(), place)) {
            for (_, offer) in before.refactorings(selection, |kind| kind == GAIT) {
                let Ok(edits) = offer.edits else { continue };
                let after = reading(&apply(before.text(), &edits));
                prop_assert_eq!(notes_in_bars(&before), notes_in_bars(&after), "{}\n{}", offer.title, after.text());
            }
        }
    }
}

fn keeps_music(kind: &str) -> bool {
    kind != GAIT && kind != AGAIN && !OTHER_MUSIC.contains(&kind)
}

/// The refactorings would keep every law by refusing: so each has to be of use on tunes without a fault.
#[test]
fn each_refactoring_is_of_use() {
    let mut done: BTreeMap<&str, usize> = BTreeMap::new();
    for seed in 0..24 {
        let text = tunes::tune(seed, 900, Trouble::None);
        // A capo takes the drone and the lowest string up, and parts played twice each cannot be joined.
        let simple = text.replace(" x2", "").replace(" t ", " - ").replace("4:", "2:");
        let simple = format!("{}\n\nmelody M\n| g3- b3- |\n", simple.trim_end());
        for text in [simple, text] {
            let tune = reading(&text);
            for selection in selections(&tune) {
                for (kind, offer) in tune.refactorings(selection, |_| true) {
                    *done.entry(kind).or_default() += usize::from(offer.edits.is_ok());
                }
            }
        }
    }
    for refactoring in lope_desk::REFACTORINGS {
        let times = done.get(refactoring.kind).copied().unwrap_or_default();
        assert!(times >= 5, "{}: {times} times, of {done:?}", refactoring.kind);
    }
}

/// What a player might select: notes, headings, fields, calls, and bars.
fn selections(tune: &Reading) -> Vec<Span> {
    let source = &tune.written().source;
    let notes = source.notes.iter().step_by(7).map(|span| span.start);
    let headings = tune.parts().map(|(_, heading)| heading.start);
    let melodies = tune.written().melodies.iter().map(|melody| melody.heading().start);
    let words = ["tuning", "meter", "@lick"].into_iter().filter_map(|word| tune.text().find(word));
    let cursors = notes.chain(headings).chain(melodies).chain(words.map(|at| at as u32)).map(Span::empty);
    cursors.chain(source.bars.iter().map(|place| place.span)).collect()
}

#[test]
fn a_part_that_is_split_and_joined_is_what_it_was() {
    let mut rounds = 0;
    for seed in 0..40 {
        let before = reading(&tunes::tune(seed, 300, Trouble::None).replace(" x2", ""));
        let Some(bar) = before.written().source.bars.get(4) else { continue };
        let split = before.refactorings(Span::empty(bar.span.start), |kind| kind.ends_with("split")).next();
        let Some(Ok(edits)) = split.map(|(_, offer)| offer.edits) else { continue };
        let halves = reading(&apply(before.text(), &edits));
        let heading = halves.parts().next().unwrap().1;
        let (_, joined) = halves.refactorings(heading, |kind| kind.ends_with("join")).next().unwrap();
        let whole = reading(&apply(halves.text(), &joined.edits.unwrap()));
        assert_eq!(whole.tune(), before.tune(), "{}\n{}", before.text(), whole.text());
        rounds += 1;
    }
    assert!(rounds >= 10, "{rounds}");
}

fn reading(text: &str) -> Reading {
    Reading::new(&text[tunes(text)[0].clone()], &Arc::new(Settings::default()))
}

fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => soup::tune(Trouble::None),
        2 => soup::tune(Trouble::Often),
        2 => soup::spoilt(),
        1 => soup::words(),
    ]
}

/// Places to select: where, and how much.
fn places() -> impl Strategy<Value = Vec<(Index, usize)>> {
    let length = prop_oneof![Just(0), 1..12_usize, 1..120_usize];
    proptest::collection::vec((any::<Index>(), length), 1..8)
}

fn selection(text: &str, (at, length): &(Index, usize)) -> Span {
    let boundary = |at: usize| (at..text.len()).find(|at| text.is_char_boundary(*at)).unwrap_or(text.len());
    let start = boundary(at.index(text.len() + 1));
    Span::new(start as u32, boundary(start + length) as u32)
}

fn in_order(edits: &[Edit], text: &str) -> bool {
    edits.windows(2).all(|pair| pair[0].span.end <= pair[1].span.start)
        && edits.iter().all(|edit| text.get(edit.span.start as usize..edit.span.end as usize).is_some())
}

/// A note: when it sounds, its pitch, how long, what makes it sound, and whether the hand falls there.
type Heard = (Moment, Option<Pitch>, Duration, u8, bool);

/// Every note as it is heard, and how long the tune takes.
fn heard(reading: &Reading) -> (Vec<Heard>, Duration) {
    let music = reading.music();
    let played = play(music.tune);
    let heard = played.notes.iter().map(|note| {
        let stroke = music.hand.motion(music.event_of(note.note)).stroke;
        (note.onset, note.pitch, note.length, note.how as u8, stroke == Stroke::Fall)
    });
    let mut heard: Vec<Heard> = heard.collect();
    heard.sort_unstable();
    (heard, played.length)
}

/// What is heard, whatever sounds it.
fn sounds(reading: &Reading) -> Vec<(Moment, Option<Pitch>, Duration)> {
    heard(reading).0.into_iter().map(|(onset, pitch, length, ..)| (onset, pitch, length)).collect()
}

/// How many of the falls that sound are no strikes.
fn trouble(reading: &Reading) -> usize {
    reading.findings().iter().filter(|finding| finding.rule.rule().name == "off-strike").count()
}

/// Pitches, and what makes each sound.
type Sounds = Vec<(Option<Pitch>, How)>;

/// The pitches of each bar in order and how they sound, and the time the bar fills.
fn notes_in_bars(reading: &Reading) -> Vec<(Sounds, Duration)> {
    let tune = reading.tune();
    let header = &tune.header;
    let bars = tune.bars.iter().map(|bar| {
        let notes = tune.events_of(bar).iter().flat_map(|event| tune.notes_of(event));
        let notes = notes.map(|note| (header.tuning.sounds(note.string, note.fret, header.capo), note.how));
        (notes.collect(), bar.length)
    });
    bars.collect()
}

/// Every comment, in any order.
fn comments(reading: &Reading) -> Vec<&str> {
    let tokens = reading.tree().tokens().iter().filter(|token| token.kind == TokenKind::Comment);
    let mut comments: Vec<&str> = tokens.map(|token| token.span.of(reading.text()).trim_end()).collect();
    comments.sort_unstable();
    comments
}
