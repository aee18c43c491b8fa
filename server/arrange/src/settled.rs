//! Which settled note it is that leaves no way through.

use lope_tune::{How, Pitch, Stroke};

use crate::search::{Stuck, easiest};
use crate::steps::Step;
use crate::ways::Ways;
use crate::{Choice, NotSo, Trouble, Wishes};

/// How many settled notes are looked at, back from where no hand gets on: what is further back hardly matters.
const NEAR: usize = 16;

/// The first of `steps` that is settled on a fret the neck does not have.
pub fn off_the_neck(steps: &[Step], wishes: &Wishes) -> Option<Trouble> {
    let last = wishes.neck.frets.saturating_sub(wishes.capo.unwrap_or(0));
    let is_off = |step: &&Step| step.fixed.is_some_and(|note| note.fret > last);
    steps.iter().find(is_off).and_then(|step| not_so(step, NotSo::OffTheNeck))
}

/// Of the settled notes up to the first step that no hand gets to in `choice`, the last that is to blame: left free,
/// the hand gets there.
pub fn to_blame(steps: &[Step], stuck: Stuck, choice: &Choice, wishes: &Wishes) -> Option<Trouble> {
    let Stuck(at) = stuck;
    let ways = Ways::new(choice, wishes);
    let mut tried = steps[..=at].to_vec();
    let settled = (0..=at).rev().filter(|step| steps[*step].fixed.is_some());
    let to_blame = settled.take(NEAR).find(|step| {
        tried[*step] = free(&steps[*step], choice);
        let gets_there = easiest(&tried, &ways).is_ok();
        tried[*step] = steps[*step];
        gets_there
    });
    let step = &steps[to_blame?];
    let strikes = step.fixed?.how == How::Strike;
    let why = match (strikes, step.stroke) {
        (true, Stroke::Rise | Stroke::Between) => NotSo::NoFall,
        (false, Stroke::Fall) => NotSo::Fall,
        _ => NotSo::OutOfReach,
    };
    not_so(step, why)
}

/// `step` with any way to sound what is settled for it.
fn free(step: &Step, choice: &Choice) -> Step {
    let moved = (i16::from(step.pitch.0) - i16::from(choice.up)).clamp(0, 127) as u8;
    Step { fixed: None, pitch: Pitch(moved), ..*step }
}

fn not_so(step: &Step, why: NotSo) -> Option<Trouble> {
    Some(Trouble::NotSo { bar: step.bar, onset: step.onset, note: step.fixed?, why })
}
