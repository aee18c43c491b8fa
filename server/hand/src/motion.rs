use lope_tune::{BarId, EventId, Meeting, NoteId, Stroke};

/// What both hands do over a whole tune.
///
/// Each list is in the order of the text, except for the meetings.
#[derive(Clone, Debug, Default)]
pub struct Hand {
    /// What the right hand does at each of [`lope_tune::Tune::events`].
    pub motions: Vec<Motion>,
    /// Every written bar once, in the order in which playing meets it.
    pub meetings: Vec<Meeting>,
    /// Notes on a fall that the hand does not strike.
    pub unstruck: Vec<Unstruck>,
    /// Events struck where the gait has no fall.
    pub strays: Vec<Stray>,
    /// Thumb notes.
    pub thumbs: Vec<Thumb>,
    /// Hammer-ons, pull-offs and slides.
    pub slurs: Vec<Slur>,
    /// Events of two notes or more.
    pub brushes: Vec<EventId>,
    /// Whether a bar ends between two strokes of its gait, so that the next comes sooner than a stroke.
    pub(crate) uneven: bool,
}

/// What the right hand does at an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Motion {
    /// The stroke at or before the event, counted from 0 at the bar's count 1, or at the start of the
    /// run the event is in.
    pub number: u32,
    /// What the gait has there.
    pub stroke: Stroke,
    /// What the hand makes of it.
    pub fell: Fell,
}

impl Default for Motion {
    fn default() -> Self {
        Self { number: 0, stroke: Stroke::Between, fell: Fell::Not }
    }
}

/// Whether the hand falls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fell {
    /// It strikes.
    Struck,
    /// It falls on air, which keeps it in time.
    Air,
    /// It does not fall: it rises, is on its way, or a note that it does not strike takes its fall.
    Not,
}

/// A set of strings, 1 to 5.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Strings(u8);

impl Strings {
    /// No string.
    pub const NONE: Self = Self(0);

    /// With `string` added, where it is one of the instrument's.
    #[must_use]
    pub const fn with(self, string: u8) -> Self {
        if matches!(string, 1..=5) { Self(self.0 | 1 << string) } else { self }
    }

    /// Whether `string` is among them.
    pub const fn has(self, string: u8) -> bool {
        string < 8 && self.0 >> string & 1 == 1
    }

    /// Whether it is none.
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The one nearest the player's face.
    pub const fn highest_numbered(self) -> Option<u8> {
        match self.0.checked_ilog2() {
            Some(string) => Some(string as u8),
            None => None,
        }
    }
}

/// Where the thumb came to rest: the last time before a note that the hand did fall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Plant {
    /// How many events sounded from that fall on, its own counted, up to the note: 0 for a fall on air
    /// right before it, 1 for a strike right before it.
    pub back: u16,
    /// The strings struck there; none for a fall on air.
    pub struck: Strings,
    /// The event struck there.
    pub strike: Option<EventId>,
    /// Whether that was in the same bar; a pickup and the bar before it are one.
    pub same_bar: bool,
}

/// A note on a fall that the hand does not strike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unstruck {
    /// The note.
    pub note: NoteId,
    /// Its event.
    pub event: EventId,
}

/// An event that is struck where the gait has no fall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stray {
    /// The first note that is struck.
    pub note: NoteId,
    /// Its event.
    pub event: EventId,
    /// The fret that sounded on its string before; none where the string was silent.
    pub sounded: Option<u8>,
    /// Where the thumb would be planted; none where the hand has not fallen before.
    pub plant: Option<Plant>,
    /// Whether it plants a thumb that sounds as the hand rises, which without it would have to wait.
    pub plants: bool,
}

/// A thumb note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Thumb {
    /// The note.
    pub note: NoteId,
    /// Its event.
    pub event: EventId,
    /// Where the thumb was planted; none where the hand has not fallen before.
    pub plant: Option<Plant>,
}

/// A hammer-on, pull-off or slide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slur {
    /// The note it sounds.
    pub note: NoteId,
    /// Its event.
    pub event: EventId,
    /// The fret that sounded on its string before; none where the string was silent.
    pub from: Option<u8>,
}

impl Hand {
    /// What the hand does at `event`.
    pub fn motion(&self, event: EventId) -> Motion {
        self.motions.get(event.index()).copied().unwrap_or_default()
    }

    /// What is told of `event` where it is struck on no fall.
    pub fn stray(&self, event: EventId) -> Option<&Stray> {
        let at = self.strays.binary_search_by_key(&event.0, |stray| stray.event.0).ok()?;
        self.strays.get(at)
    }

    /// What is told of `note` where the thumb sounds it.
    pub fn thumb(&self, note: NoteId) -> Option<&Thumb> {
        let at = self.thumbs.binary_search_by_key(&note.0, |thumb| thumb.note.0).ok()?;
        self.thumbs.get(at)
    }

    /// What is told of `note` where it is hammered on, pulled off or slid to.
    pub fn slur(&self, note: NoteId) -> Option<&Slur> {
        let at = self.slurs.binary_search_by_key(&note.0, |slur| slur.note.0).ok()?;
        self.slurs.get(at)
    }

    /// How playing first comes to `bar`.
    pub fn meeting(&self, bar: BarId) -> Option<&Meeting> {
        // Without phrases, bars are met in the order in which they are written.
        let likely = self.meetings.get(bar.index()).filter(|meeting| meeting.bar == bar);
        likely.or_else(|| self.meetings.iter().find(|meeting| meeting.bar == bar))
    }
}
