use lope_tune::How;

use crate::search::Route;
use crate::ways::Way;

/// What the hands do in a melody's notes, drones and brushes beside them not counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Notes that the falling hand strikes.
    pub strikes: usize,
    /// Notes of the open drone.
    pub drones: usize,
    /// Thumb notes on the long strings.
    pub drops: usize,
    /// Hammer-ons, pull-offs and slides.
    pub slurs: usize,
    /// How often the left hand moves along the neck.
    pub shifts: usize,
    /// The highest fret.
    pub highest: u8,
}

impl Tally {
    /// What `route` asks of the hands.
    pub(crate) fn of(route: &Route) -> Self {
        let mut tally = Self::default();
        let mut at = None;
        for way in &route.ways {
            let Way::Play { string, fret, how, position } = *way else { continue };
            match how {
                How::Strike => tally.strikes += 1,
                How::Thumb if string == 5 => tally.drones += 1,
                How::Thumb => tally.drops += 1,
                How::Hammer | How::Pull | How::Slide => tally.slurs += 1,
            }
            tally.highest = tally.highest.max(fret);
            if fret > 0 {
                tally.shifts += usize::from(at.is_some_and(|at| at != position));
                at = Some(position);
            }
        }
        tally
    }
}
