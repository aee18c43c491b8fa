//! A measure as it stands in the file.

use lope_tune::{Duration, Feel, LabelKind, Meter, Moment};

use crate::Place;
use crate::tab::Sound;

/// A measure.
#[derive(Clone, Debug)]
pub struct Measure {
    /// Where it stands.
    pub place: Place,
    /// The meter, where it changes here.
    pub meter: Option<Meter>,
    /// The key signature in sharps, negative for flats, and the mode's name.
    pub key: Option<(i8, String)>,
    /// Beats a minute, where they change here, and how long one of them is.
    pub tempo: Option<(u32, Duration)>,
    /// How pairs of slots are played, where that changes here.
    pub feel: Option<Feel>,
    /// What a score of ours says that the standard has no element for: `gait: x.x`.
    pub asides: Vec<String>,
    /// The name of the part that begins here.
    pub name: Option<String>,
    /// Its notes and rests.
    pub notes: Vec<Sound>,
    /// Words and chord symbols above it.
    pub labels: Vec<(Moment, LabelKind, String)>,
    /// The time it takes.
    pub length: Duration,
    /// Whether it is filled up with rests that are not to be seen.
    pub is_filled: bool,
    /// Whether it is written as the measure before it once more.
    pub again: bool,
    /// Whether a repeated stretch begins here.
    pub forward: bool,
    /// How often the stretch that ends here is played, where it is repeated.
    pub backward: Option<u32>,
    /// Whether a double or final bar line stands at its end, or at the start of the next.
    pub double: bool,
    /// The passes of the ending that begins here.
    pub ending: Option<Vec<u32>>,
    /// Whether an ending ends here.
    pub ending_stops: bool,
}

impl Measure {
    /// One at `place` in which there is nothing yet.
    pub const fn at(place: Place) -> Self {
        Self {
            place,
            meter: None,
            key: None,
            tempo: None,
            feel: None,
            asides: Vec::new(),
            name: None,
            notes: Vec::new(),
            labels: Vec::new(),
            length: Duration::ZERO,
            is_filled: false,
            again: false,
            forward: false,
            backward: None,
            double: false,
            ending: None,
            ending_stops: false,
        }
    }
}
