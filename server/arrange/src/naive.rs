//! A setting as it comes to somebody who never looks ahead: what the search has to be better than.

use lope_tune::Melody;

use crate::effort;
use crate::graces::timed;
use crate::search::Route;
use crate::steps::Steps;
use crate::ways::{State, Way, Ways};
use crate::{Choice, Tally, Wishes};

/// What it comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Naive {
    /// The effort of its notes, in the units of the search; a note that no hand gets to counts as one left out.
    pub effort: u32,
    /// How many notes no hand gets to.
    pub stuck: usize,
    /// What the hands do.
    pub tally: Tally,
}

/// `melody` in `choice`, each note at the lowest fret that it can be sounded at, and of places as low on the
/// string nearest to the one before.
pub fn naive(melody: &Melody, choice: &Choice, wishes: &Wishes) -> Naive {
    let ways = Ways::new(choice, wishes);
    let (mut state, mut route, mut stuck) = (State::START, Route::default(), 0);
    for step in Steps::of(&timed(melody)).steps {
        let place = |way: &Way| match *way {
            Way::Play { string, fret, .. } => (fret, string.abs_diff(state.string)),
            Way::LeaveOut => (u8::MAX, u8::MAX),
        };
        let way =
            ways.of(&state, &step).into_iter().min_by_key(|way| (place(way), effort::of(&state, &step, way)));
        stuck += usize::from(way.is_none());
        let way = way.unwrap_or(Way::LeaveOut);
        route.effort += effort::of(&state, &step, &way);
        state = state.after(&step, &way);
        route.ways.push(way);
    }
    Naive { effort: route.effort, stuck, tally: Tally::of(&route) }
}
