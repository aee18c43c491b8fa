//! A run taken back to the straight gait.

use lope_tune::{Duration, Moment, Note, Stroke, Tune};

use super::{Passage, is_long_strike, is_straight, note_of};
use crate::outline::{Sung, outline};
use crate::search::easiest;
use crate::steps::Step;
use crate::ways::Ways;
use crate::{Choice, Wishes};

/// What sounds at each stroke of the gait in the place of `passage`, a run, so that its outline stays: each
/// fall takes what the run sounds at that moment, each rise the last note before the next fall; nothing where
/// what sounded rings on. Rises that the hand cannot play are left to ring, all but the last first. None where
/// the gait does not go in twos or no hand gets through.
pub fn straight(tune: &Tune, passage: &Passage, wishes: &Wishes) -> Option<Vec<Option<Note>>> {
    let bar = &tune.bars[passage.bar.index()];
    let gait = tune.frame(bar).gait;
    if !is_straight(gait) {
        return None;
    }
    let sung: Vec<Sung> =
        outline(tune, passage.bar).into_iter().filter(|sung| passage.has(sung.onset)).collect();
    let strokes = strokes(passage, gait.step(), &sung)?;
    let choice = Choice { tuning: tune.header.tuning, capo: tune.header.capo, up: 0 };
    let ways = Ways::new(&choice, wishes);
    let last = strokes.len() - 1;
    let wanted: [&dyn Fn(usize) -> bool; 3] =
        [&|_| true, &|at: usize| at.is_multiple_of(2) || at == last, &|at: usize| at.is_multiple_of(2)];
    wanted.iter().find_map(|wanted| {
        let chosen: Vec<(usize, &Sung)> = strokes
            .iter()
            .enumerate()
            .filter(|(at, _)| wanted(*at))
            .filter_map(|(at, sung)| Some((at, (*sung)?)))
            .collect();
        let steps: Vec<Step> =
            chosen.iter().map(|(at, sung)| step(tune, passage, gait.step(), *at, sung)).collect();
        let route = easiest(&steps, &ways).ok()?;
        let mut notes = vec![None; strokes.len()];
        let mut fingered = 0;
        for ((at, _), way) in chosen.iter().zip(&route.ways) {
            notes[*at] = note_of(way, &mut fingered);
        }
        Some(notes)
    })
}

/// What each stroke takes of `sung`, the run's notes; nothing where it would only go on.
fn strokes<'s>(passage: &Passage, step: Duration, sung: &'s [Sung]) -> Option<Vec<Option<&'s Sung>>> {
    let (count, rest) = passage.length.divide(step);
    if rest != Duration::ZERO || sung.first()?.onset != passage.start {
        return None;
    }
    let sounding = |at: Moment| sung.iter().rev().find(|sung| sung.onset <= at);
    let mut before: Option<&Sung> = None;
    let strokes = (0..u32::try_from(count).ok()?).map(|number| {
        let at = passage.start + step.times(number);
        let found = match number % 2 {
            0 => sounding(at),
            _ => sung.iter().rev().find(|sung| sung.onset < at + step),
        };
        let anew = found.filter(|sung| before.is_none_or(|before| before.note != sung.note));
        before = found;
        anew
    });
    Some(strokes.collect())
}

fn step(tune: &Tune, passage: &Passage, length: Duration, at: usize, sung: &Sung) -> Step {
    let note = &tune.notes[sung.note.index()];
    Step {
        note: at,
        bar: passage.bar,
        onset: passage.start + length.times(at as u32),
        pitch: sung.pitch,
        stroke: if at.is_multiple_of(2) { Stroke::Fall } else { Stroke::Rise },
        air: false,
        rested: false,
        since: length,
        grace: false,
        fixed: (at == 0 && is_long_strike(note)).then_some(*note),
    }
}
