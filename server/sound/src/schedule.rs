//! What sounds when.

use lope_tune::{Duration, How, Moment, NoteId, Pitch, Played, PlayedBar, Tune};

use crate::clock::{Clock, Tempo};
use crate::{Hand, Performance, clicks, strings, time_line};

/// A performance of a tune in exact time, counted in whole notes from its first sound or count.
///
/// It is all that a player has to know: start each [`Sound`] at its onset and stop it at its end, click where
/// a [`Click`] is, and light the bar of [`Schedule::bar_at`]. [`Schedule::seconds`] says when that is.
///
/// Laws, held by tests: sounds are in the order of their onsets; none begins before the start or ends after
/// [`Schedule::end`]; all last longer than no time; no two overlap on a string. Half the speed is exactly twice
/// the seconds.
#[derive(Clone, Debug, PartialEq)]
pub struct Schedule {
    /// The bars in the order they are played, without those of the count-in.
    pub bars: Vec<ScheduledBar>,
    /// What sounds, by onset.
    pub sounds: Vec<Sound>,
    /// The count-in, and where asked for a click on every beat after it; by onset.
    pub clicks: Vec<Click>,
    /// When the last bar is over.
    pub end: Moment,
    clock: Clock,
}

/// A bar in its turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScheduledBar {
    /// The bar, its frame and number; start and length are those of the schedule.
    pub played: PlayedBar,
    /// Its place in [`Played::bars`].
    pub place: usize,
    /// The time of its meter's bar that has gone by before it: more than none for a pickup.
    pub lead: Duration,
}

/// A string made to sound, and stopped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sound {
    /// The note as written.
    pub note: NoteId,
    /// Its bar's place in [`Schedule::bars`].
    pub bar: usize,
    /// When it begins, the feel and the spread of a brush included.
    pub onset: Moment,
    /// How long it rings: until its string sounds anew, a silence, or the end.
    pub length: Duration,
    /// What it sounds.
    pub pitch: Pitch,
    /// The string, 1 to 5.
    pub string: u8,
    /// The fret as written.
    pub fret: u8,
    /// What makes it sound.
    pub how: How,
    /// How loud, as a MIDI velocity: 1 to 127.
    pub level: u8,
    /// Where a slide comes from: what its string sounded until then.
    pub from: Option<Pitch>,
    /// The time a choke takes to bend it up by a semitone.
    pub choke: Option<Duration>,
    /// Whether it is shaken.
    pub vibrato: bool,
}

impl Sound {
    /// When it is stopped.
    pub fn end(&self) -> Moment {
        self.onset + self.length
    }

    /// What sounds it.
    pub const fn hand(&self) -> Hand {
        Hand::of(self.string, self.how)
    }
}

/// A count to play along with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Click {
    /// When.
    pub onset: Moment,
    /// Whether it is count 1.
    pub first: bool,
}

/// The schedule of `performance`, of `tune` as `played`. A passage that is not there plays nothing.
pub fn schedule(tune: &Tune, played: &Played, performance: &Performance) -> Schedule {
    let time_line = time_line::lay(tune, played, performance);
    let mut sounds = strings::ring(tune, &time_line);
    sounds.retain(|sound| performance.hands.has(sound.hand()));
    Schedule {
        sounds,
        clicks: clicks::count(tune, &time_line, performance),
        end: time_line.end,
        clock: Clock::new(tune, &time_line.bars, performance.speed),
        bars: time_line.bars,
    }
}

impl Schedule {
    /// The seconds from the start to `moment`.
    pub fn seconds(&self, moment: Moment) -> f64 {
        self.clock.seconds(moment)
    }

    /// The tempos, each from where it begins to hold; the first from the start.
    pub fn tempos(&self) -> &[Tempo] {
        self.clock.tempos()
    }

    /// The bar that is played at `moment`, as a place in [`Schedule::bars`]; none during the count-in.
    pub fn bar_at(&self, moment: Moment) -> Option<usize> {
        self.bars.partition_point(|bar| bar.played.start <= moment).checked_sub(1)
    }

    /// When the count-in is over.
    pub fn start(&self) -> Moment {
        self.bars.first().map_or(Moment::START, |bar| bar.played.start)
    }
}

#[cfg(test)]
mod tests;
