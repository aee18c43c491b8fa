//! Runs keep the time, the ends of the melody and the gait, and are taken back to what they were.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::sync::Arc;

use lope_arrange::outline;
use lope_desk::{Reading, RunRequest, Settings, Span, apply, tidied};
use lope_tests::tunes::{self, Trouble};
use lope_tune::{BarId, Duration, Moment, Pitch, Stroke, play};
use proptest::prelude::*;

/// The straight meters that tunes are rolled in here; the roll's own meter makes way.
const METERS: [&str; 4] = ["4/4", "2/2", "3/4", "2/4"];

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]
    #[test]
    fn a_run_keeps_the_time_the_ends_and_the_gait(
        seed: u64, meter in 0..METERS.len(), from in 0..40_usize, count in 1..9_usize, blues: bool,
    ) {
        let before = straight_tune(seed, METERS[meter]);
        let slots = &before.written().source.slots;
        let from = from % slots.len();
        let to = (from + count).min(slots.len()) - 1;
        let selection = slots[from].span.cover(slots[to].span);
        for notes in [3, 6, 9, 12] {
            let request = RunRequest { notes: Some(notes), blues };
            for offer in before.runs(selection, request).into_iter().flatten() {
                check(&before, &offer.edits.unwrap(), notes)?;
            }
        }
    }
}

fn check(before: &Reading, edits: &[lope_desk::Edit], notes: u32) -> Result<(), TestCaseError> {
    let after = Reading::new(apply(before.text(), edits), before.settings());
    let texts = || format!("{}\n{}", before.text(), after.text());
    let off_strikes = |reading: &Reading| reading.music().hand.unstruck.len();
    prop_assert!(off_strikes(&after) <= off_strikes(before), "{}", texts());
    prop_assert_eq!(play(before.tune()).length, play(after.tune()).length, "{}", texts());
    let run = after.tune().runs.iter().find(|run| !before.tune().runs.contains(run));
    prop_assert!(run.is_some(), "no run in {}", texts());
    let Some(run) = run else { return Ok(()) };
    prop_assert_eq!(run.slots, notes);
    let end = run.start + run.slot.times(run.slots);
    // Inside the run every note comes on a stroke, and every fall that sounds is a strike.
    for (at, event) in after.tune().events.iter().enumerate().filter(|(_, event)| event.run.is_some()) {
        let motion = after.music().hand.motion(lope_tune::EventId(at as u32));
        prop_assert!(motion.stroke != Stroke::Between, "{event:?}");
    }
    let ends = |reading: &Reading| -> Vec<Option<Pitch>> {
        let sung = outline(reading.tune(), run.bar);
        let inside = sung.iter().filter(|sung| (run.start..end).contains(&sung.onset)).map(|sung| sung.pitch);
        let inside: Vec<Pitch> = inside.collect();
        vec![inside.first().copied(), inside.last().copied()]
    };
    prop_assert_eq!(ends(before), ends(&after), "{}", texts());
    prop_assert_eq!(around(before, run.bar, run.start, end), around(&after, run.bar, run.start, end));
    // The hand lands on a pair of its straight gait.
    let bar = &after.tune().bars[run.bar.index()];
    let pair = after.tune().frame(bar).gait.period();
    prop_assert!((end + bar.lead).since_start().is_multiple_of(pair));
    let slot = after
        .written()
        .source
        .slots
        .iter()
        .find(|slot| after.music().bar_of(slot.event) == run.bar && slot.onset == run.start);
    let back = after.straightened(Span::empty(slot.unwrap().span.start)).unwrap().edits.unwrap();
    let back = apply(after.text(), &back);
    prop_assert_eq!(back.as_str(), before.text());
    Ok(())
}

/// Every pitch outside the run, with its bar and moment.
fn around(reading: &Reading, run: BarId, from: Moment, to: Moment) -> Vec<(BarId, Moment, Option<Pitch>)> {
    let (tune, mut all) = (reading.tune(), Vec::new());
    for (id, bar) in (0..).map(BarId).zip(&tune.bars) {
        for event in
            tune.events_of(bar).iter().filter(|event| id != run || !(from..to).contains(&event.onset))
        {
            let sounds =
                |note: &lope_tune::Note| tune.header.tuning.sounds(note.string, note.fret, tune.header.capo);
            all.extend(tune.notes_of(event).iter().map(|note| (id, event.onset, sounds(note))));
        }
    }
    all
}

/// A tidy tune of the dice in `meter`, whose bars are cut or filled to it by the dice of another meter: what
/// matters is that there are pairs to make runs of.
fn straight_tune(seed: u64, meter: &str) -> Reading {
    let settings = Arc::new(Settings::default());
    let text = tunes::tune(seed, 500, Trouble::None);
    let lines = text.lines().map(|line| match line.split_once(':') {
        Some(("meter", _)) => format!("meter: {meter}\n"),
        Some(("gait" | "unit", _)) => String::new(),
        _ => format!("{line}\n"),
    });
    Reading::new(tidied(&lines.collect::<String>(), &settings), &settings)
}

/// The law above would hold of runs that are never found.
#[test]
fn runs_are_found_where_players_want_them() {
    let mut found = 0;
    let mut asked = 0;
    for seed in 0..12 {
        let tune = straight_tune(seed, "4/4");
        for place in tune.written().source.bars.iter().take(8) {
            let bar =
                BarId(tune.written().source.bars.iter().position(|other| other.span == place.span).unwrap()
                    as u32);
            let Some(span) = tune.span_of_counts(bar, 1..=2) else { continue };
            if tune.tune().bars[bar.index()].length != Duration::new(6, 8)
                && tune.tune().bars[bar.index()].length != Duration::new(1, 1)
            {
                continue;
            }
            asked += 1;
            let runs = tune.runs(span, RunRequest { notes: Some(6), blues: false });
            found += usize::from(runs.is_ok_and(|runs| runs.len() > 1));
        }
    }
    assert!(asked > 20 && found * 10 > asked * 8, "{found} of {asked}");
}
