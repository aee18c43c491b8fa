use lope_tune::{Duration, How, Marks, Moment, Pitch};

/// A note or rest of a measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Sound {
    /// When it begins, from the start of the measure.
    pub onset: Moment,
    /// How long it lasts; nothing for a grace note.
    pub length: Duration,
    /// What it sounds; nothing for a rest.
    pub pitch: Option<Pitch>,
    /// Whether it goes on from the one before.
    pub tied: bool,
    /// Whether it is struck together with the one before it.
    pub chord: bool,
    /// Where it is on the neck.
    pub string: Option<u8>,
    /// Its fret, as the file counts it.
    pub fret: Option<u8>,
    /// What the left hand does to sound it; nothing where it is struck, or where the file does not say.
    pub slur: Option<How>,
    /// Whether a curve ends at it, which says that the left hand sounds it but not how.
    pub curve: bool,
    /// The finger of the right hand that sounds it, where the file says one.
    pub pluck: Option<String>,
    /// What is written beside it.
    pub marks: Marks,
    /// How many of its symbol go in the time of others, in a tuplet.
    pub actual: Option<u32>,
    /// Whether a tuplet begins with it, and whether one ends.
    pub tuplet: (bool, bool),
}

impl Sound {
    /// Whether it is a grace note.
    pub fn is_grace(&self) -> bool {
        self.length == Duration::ZERO
    }

    /// When it ends.
    pub fn end(&self) -> Moment {
        self.onset + self.length
    }
}
