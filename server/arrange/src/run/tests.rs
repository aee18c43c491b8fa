use lope_tune::{Mode, Stroke, Tuning};
use proptest::prelude::*;

use super::search::KEPT;
use super::shape::{Heading, WIDEST_LEAP, roughness};
use super::*;
use crate::effort;

const G: Key = Key { tonic: 7, mode: Mode::Ionian };

fn slot_at(number: usize, pitches: Vec<Pitch>, tune: &Tune, melody: Option<Pitch>) -> Slot {
    let slot = Duration::new(1, 12);
    let step = Step {
        note: number,
        bar: BarId(0),
        onset: Moment::START + slot.times(number as u32),
        pitch: pitches[0],
        stroke: [Stroke::Fall, Stroke::Rise, Stroke::Fall][number % 3],
        air: false,
        rested: false,
        since: slot,
        grace: false,
        fixed: None,
    };
    let fit = Harmony::new(tune, G, false).at(BarId(0), step.onset);
    Slot { step, pitches, fit, melody: melody.filter(|_| number.is_multiple_of(3)) }
}

/// The least cost of each line, found by trying every way to play it.
fn by_trying(slots: &[Slot], ways: &Ways<'_>) -> Vec<(u32, Vec<u8>)> {
    let mut lines: Vec<(u32, Vec<u8>)> = vec![(0, Vec::new())];
    for slot in slots {
        let longer = lines.iter().flat_map(|(cost, line)| {
            slot.pitches.iter().filter_map(move |pitch| {
                let mut heading = Heading::Begun;
                if let [.., before, last] = line[..] {
                    heading = Heading::between(Pitch(before), Pitch(last));
                }
                let rough = match line.last() {
                    Some(last) if !(1..=WIDEST_LEAP).contains(&last.abs_diff(pitch.0)) => return None,
                    Some(last) => roughness(Pitch(*last), heading, *pitch, slot),
                    None => 0,
                };
                Some((cost + rough, [line.as_slice(), &[pitch.0]].concat()))
            })
        });
        lines = longer.collect();
    }
    let played = lines
        .into_iter()
        .filter_map(|(rough, line)| Some((rough + least(slots, &line, ways, State::START)?, line)));
    let mut all: Vec<(u32, Vec<u8>)> = played.collect();
    all.sort();
    all
}

fn least(slots: &[Slot], line: &[u8], ways: &Ways<'_>, from: State) -> Option<u32> {
    let ([slot, slots @ ..], [pitch, line @ ..]) = (slots, line) else { return Some(0) };
    let step = Step { pitch: Pitch(*pitch), ..slot.step };
    let tried = ways.of(&from, &step).into_iter().filter_map(|way| {
        Some(effort::of(&from, &step, &way) + least(slots, line, ways, from.after(&step, &way))?)
    });
    tried.min()
}

proptest! {
    #[test]
    fn no_other_runs_are_better(first in 52_u8..76, last in 52_u8..76, low in 50_u8..70, beginner: bool, four: bool) {
        let (tune, choice) = (Tune::default(), Choice { tuning: Tuning::default(), capo: 0, up: 0 });
        let level = if beginner { Level::Beginner } else { Level::Player };
        let wishes = Wishes { level, ..Wishes::default() };
        let ways = Ways::new(&choice, &wishes);
        let between: Vec<Pitch> = (low..low + 10).map(Pitch).filter(|pitch| G.has(*pitch)).collect();
        let (first, last) = (Pitch(first), Pitch(last));
        let mut rows = vec![vec![first], between.clone(), vec![last]];
        if four {
            rows.insert(1, between);
        }
        let slots: Vec<Slot> =
            rows.into_iter().enumerate().map(|(at, row)| slot_at(at, row, &tune, Some(first))).collect();
        let found = best(&slots, &[State::START], None, &ways);
        let found: Vec<(u32, Vec<u8>)> = found
            .iter()
            .map(|path| (path.effort + path.roughness, path.line[..slots.len()].to_vec()))
            .collect();
        let mut all = by_trying(&slots, &ways);
        all.truncate(KEPT);
        prop_assert_eq!(found, all);
    }
}
