//! Bars of tab set again: the same melody at the same moments, played otherwise.
//!
//! What stands around the bars stays as it is: the search begins wherever the hands can be after what is written
//! before them, and has to go on to the note that is written next. In the bars, brushes and notes with a finger
//! written stay too, and so does whatever accompanies the melody.

mod melody;
mod search;
#[cfg(test)]
mod tests;

use std::ops::Range;

use lope_tune::{How, NoteId, Place, Stroke, Tune};

use self::melody::written;
use self::search::{best, follow};
use crate::steps::{Step, Steps};
use crate::ways::Ways;
use crate::{Choice, Tally, Wishes};

/// A way to play the bars.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Otherwise {
    /// The notes that are played otherwise than they are written, and how, in their order.
    pub changes: Vec<(NoteId, Place)>,
    /// Its effort, the note after the bars included, in the units of [`crate::effort`].
    pub effort: u32,
    /// What the hands do.
    pub tally: Tally,
}

/// Some bars set again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Again {
    /// The effort and the doings of the hands as the bars are written; none where they go against the gait.
    pub written: Option<(u32, Tally)>,
    /// The best few other ways, the easiest first, no two the same in tab.
    pub found: Vec<Otherwise>,
}

/// Why there is no other way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoOther {
    /// Nothing in the bars sings.
    Empty,
    /// A note is too quick for the hands to be told apart by the gait.
    TooFine,
    /// No hand gets through otherwise.
    NoWay,
}

/// The best few other ways to play `bars` of `tune`, numbers of bars of one section.
///
/// # Errors
/// When there is none.
pub fn again(tune: &Tune, bars: Range<u32>, wishes: &Wishes) -> Result<Again, NoOther> {
    let choice = Choice { tuning: tune.header.tuning, capo: tune.header.capo, up: 0 };
    let ways = Ways::new(&choice, wishes);
    let written = written(tune, &bars);
    let Steps { steps, left_out, .. } = Steps::of(&written.melody);
    if left_out.iter().any(|note| bars.contains(&note.bar.0)) {
        return Err(NoOther::TooFine);
    }
    let first = steps.partition_point(|step| step.bar.0 < bars.start);
    let end = steps.partition_point(|step| step.bar.0 < bars.end);
    let (before, inside) = (&steps[..first], &steps[first..end]);
    if inside.is_empty() {
        return Err(NoOther::Empty);
    }
    let from = follow(&before.iter().map(|step| written.fixed(step)).collect::<Vec<_>>(), &ways);
    let landing = steps.get(end).map(|step| written.fixed(step)).filter(goes_with_the_gait);
    let as_it_is: Vec<Step> = inside.iter().map(|step| written.fixed(step)).collect();
    let was = best(&as_it_is, &from, landing.as_ref(), &ways).into_iter().next();
    let free: Vec<Step> =
        inside.iter().map(|step| if written.stays(step) { written.fixed(step) } else { *step }).collect();
    let found = best(&free, &from, landing.as_ref(), &ways).into_iter().filter_map(|route| {
        let changes = written.changes(inside, &route.ways);
        (!changes.is_empty()).then(|| Otherwise { changes, effort: route.effort, tally: Tally::of(&route) })
    });
    let found: Vec<Otherwise> = found.take(SHOWN).collect();
    if found.is_empty() {
        return Err(NoOther::NoWay);
    }
    Ok(Again { written: was.map(|route| (route.effort, Tally::of(&route))), found })
}

/// How many other ways are offered.
const SHOWN: usize = search::KEPT - 1;

/// Whether what is written for `step` can be asked of a hand that keeps its gait.
fn goes_with_the_gait(step: &Step) -> bool {
    step.fixed.is_some_and(|note| (note.how == How::Strike) == (step.stroke == Stroke::Fall))
}
