//! How a step can be played from where the hands are: what is possible at all, and nothing of what is easy.

use lope_tune::{Finger, How, Neck, Pitch, Place, Stroke};

use crate::steps::Step;
use crate::{Choice, Level, Wishes};

/// Where the hands are after a step.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct State {
    /// The string last fingered, 0 for none that still sounds: the drone does not count.
    pub string: u8,
    /// Its fret.
    pub fret: u8,
    /// The lowest fret that the left hand's first finger covers, from 1.
    pub position: u8,
    /// Whether the left hand has sounded a note since the last fall, so that a thumb planted then would
    /// have to wait.
    pub slurred: bool,
}

impl State {
    /// Before the first step.
    pub const START: Self = Self { string: 0, fret: 0, position: 1, slurred: false };

    /// After `way`, at `step`.
    pub const fn after(self, step: &Step, way: &Way) -> Self {
        // A silence stops every string.
        let (string, fret) = if step.rested { (0, 0) } else { (self.string, self.fret) };
        let Way::Play { string: sounded, fret: at, how, position } = *way else {
            return Self { string, fret, ..self };
        };
        let slurred = how.is_slur() || self.slurred && !matches!(step.stroke, Stroke::Fall);
        if sounded == 5 {
            return Self { string, fret, position, slurred };
        }
        Self { string: sounded, fret: at, position, slurred }
    }
}

/// What is done about a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// It is sounded.
    Play {
        /// The string, 1 to 5.
        string: u8,
        /// The fret, from the nut or the capo.
        fret: u8,
        /// What sounds it.
        how: How,
        /// The lowest fret that the first finger covers then.
        position: u8,
    },
    /// It is left out.
    LeaveOut,
}

/// What the neck allows in one choice of tuning and capo.
pub struct Ways<'w> {
    choice: &'w Choice,
    neck: &'w Neck,
    level: Level,
}

/// The highest place of the hand on the neck that is looked at: the neck's shoulder. From memory.
const HIGHEST_POSITION: u8 = 12;
/// The furthest slide, in frets. From memory.
const WIDEST_SLIDE: u8 = 5;
/// Where a beginner's first finger stays. From memory.
const BEGINNER_POSITION: u8 = 3;
/// The frets that a beginner's hand covers, its first finger's aside. From memory.
const BEGINNER_SPAN: u8 = 2;

impl<'w> Ways<'w> {
    /// The ways to play in `choice` as `wishes` ask.
    pub const fn new(choice: &'w Choice, wishes: &'w Wishes) -> Self {
        Self { choice, neck: &wishes.neck, level: wishes.level }
    }

    /// Every way to do what `step` asks for, from `from`.
    pub fn of(&self, from: &State, step: &Step) -> Vec<Way> {
        let mut ways = Vec::new();
        for (string, fret) in self.places(step) {
            for how in self.hows(from, step, string, fret) {
                let place = Place { string, fret, how };
                if step.fixed.is_none_or(|fixed| place == fixed.into()) {
                    let finger = step.fixed.and_then(|fixed| fixed.marks.finger);
                    let positions = self.positions(from, fret, how);
                    let positions = positions.filter(|position| has_under(finger, *position, fret));
                    ways.extend(positions.map(|position| Way::Play { string, fret, how, position }));
                }
            }
        }
        if step.stroke == Stroke::Between && step.fixed.is_none() {
            ways.push(Way::LeaveOut);
        }
        ways
    }

    /// Every way to sound what `step` asks for, from `from`.
    pub fn sounding(&self, from: &State, step: &Step) -> impl Iterator<Item = Way> + use<> {
        self.of(from, step).into_iter().filter(|way| *way != Way::LeaveOut)
    }

    /// Where `step` is on the neck: string and fret. Where that is not settled, the drone only where it is open.
    pub fn places(&self, step: &Step) -> impl Iterator<Item = (u8, u8)> + use<'_> {
        let settled = step.fixed.map(|note| (note.string, note.fret));
        let free = settled.is_none().then(|| self.places_of(step.pitch));
        let is_there = |(string, fret): &(u8, u8)| (1..=5).contains(string) && *fret <= self.last_fret();
        settled.into_iter().filter(is_there).chain(free.into_iter().flatten())
    }

    /// Where the melody's `pitch` is on the neck.
    pub fn places_of(&self, pitch: Pitch) -> impl Iterator<Item = (u8, u8)> + use<'_> {
        let Choice { tuning, capo, up } = *self.choice;
        let pitch = u8::try_from(i16::from(pitch.0) + i16::from(up)).ok().map(Pitch);
        let last = self.last_fret();
        (1..=5).filter_map(move |string| {
            let fret = tuning.fret_of(pitch?, string, capo)?;
            (fret <= if string == 5 { 0 } else { last }).then_some((string, fret))
        })
    }

    /// The last fret, from the nut or the capo.
    const fn last_fret(&self) -> u8 {
        self.neck.frets.saturating_sub(self.choice.capo)
    }

    /// What can sound `string` at `fret` when `step` comes.
    fn hows(&self, from: &State, step: &Step, string: u8, fret: u8) -> Vec<How> {
        let mut hows = Vec::new();
        match step.stroke {
            // Striking the drone with a finger is awkward, and done where it is asked for.
            Stroke::Fall if string < 5 || step.fixed.is_some() => hows.push(How::Strike),
            Stroke::Fall => {}
            Stroke::Rise => {
                hows.extend(self.can_thumb(from, step, string).then_some(How::Thumb));
                hows.extend(self.slurs(from, step, string, fret));
            }
            Stroke::Between => hows.extend(self.slurs(from, step, string, fret)),
        }
        hows
    }

    /// Whether the thumb, planted at the fall before, sounds `string`: the drone, or one nearer the player's
    /// face than the string struck.
    fn can_thumb(&self, from: &State, step: &Step, string: u8) -> bool {
        let lands = step.air || (!from.slurred && string > from.string);
        match (string, self.level) {
            (5, _) => step.air || !from.slurred,
            (2..=4, level) => lands && (level == Level::Player || step.fixed.is_some()),
            _ => false,
        }
    }

    fn slurs(&self, from: &State, step: &Step, string: u8, fret: u8) -> Vec<How> {
        if string == 5 || from.string == 0 {
            return Vec::new();
        }
        if string != from.string {
            return self.alternate(from, step, string, fret);
        }
        if step.rested || fret == from.fret {
            return Vec::new();
        }
        let (low, high) = (fret.min(from.fret), fret.max(from.fret));
        let mut hows = Vec::new();
        if low == 0 || self.spans(low, high) {
            hows.push(if fret > from.fret { How::Hammer } else { How::Pull });
        }
        if low > 0 && high - low <= WIDEST_SLIDE {
            hows.push(How::Slide);
        }
        hows
    }

    /// What the left hand can do to sound another string than the one fingered.
    fn alternate(&self, from: &State, step: &Step, string: u8, fret: u8) -> Vec<How> {
        // Out of a silence nothing comes in the midst of a stroke.
        if step.rested && step.stroke == Stroke::Between {
            return Vec::new();
        }
        if let Some(note) = step.fixed {
            return if note.how.is_slur() { vec![note.how] } else { Vec::new() };
        }
        if self.level != Level::Player {
            return Vec::new();
        }
        match fret {
            // A finger that leaves its string brushes the open one beside it. Common practice.
            0 if from.fret > 0 && string.abs_diff(from.string) == 1 => vec![How::Pull],
            0 => Vec::new(),
            // A finger that comes down hard sounds whichever string it meets. Common practice.
            _ => vec![How::Hammer],
        }
    }

    /// Where the left hand may be to sound `fret` by `how`.
    fn positions(&self, from: &State, fret: u8, how: How) -> impl Iterator<Item = u8> + use<'_, 'w> {
        let highest = match self.level {
            Level::Player => HIGHEST_POSITION,
            Level::Beginner => BEGINNER_POSITION,
        };
        let State { position: at, fret: before, .. } = *from;
        let range = match (fret, how) {
            // An open string leaves the hand where it is.
            (0, _) => at..=at,
            // The finger that slides keeps its place in the hand.
            (_, How::Slide) => {
                let moved = (i16::from(at) + i16::from(fret) - i16::from(before)).clamp(1, i16::from(fret));
                moved as u8..=moved as u8
            }
            // Both frets of a slur are under the hand where it is, unless the first is open.
            (_, How::Hammer | How::Pull) if before > 0 => at..=at,
            _ => 1..=fret,
        };
        range.filter(move |position| {
            *position <= highest && (fret == 0 || (*position <= fret && self.spans(*position, fret)))
        })
    }

    /// Where the left hand may be when it holds `fret`.
    pub fn holding(&self, fret: u8) -> impl Iterator<Item = u8> + use<'_, 'w> {
        (1..=fret.min(HIGHEST_POSITION)).filter(move |position| self.spans(*position, fret))
    }

    /// Whether a hand whose first finger is at `low` reaches `high`.
    fn spans(&self, low: u8, high: u8) -> bool {
        let capo = self.choice.capo;
        let reach = self.neck.reach_mm(low.saturating_add(capo), high.saturating_add(capo));
        let few = self.level == Level::Player || high - low <= BEGINNER_SPAN;
        // Four fingers cover four frets, and one more by a stretch, where the neck is narrow enough.
        few && high - low <= 4 && reach <= self.neck.widest_mm
    }
}

/// Whether a hand whose first finger is at `position` has `fret` under `finger`, or under any where none is named:
/// a finger a fret, and those behind the first stretched by one where they have to be. Common practice.
fn has_under(finger: Option<Finger>, position: u8, fret: u8) -> bool {
    let beyond = fret.saturating_sub(position);
    match finger {
        None => true,
        Some(_) if fret == 0 => true,
        Some(Finger::Index) => beyond == 0,
        Some(Finger::Middle) => (1..=2).contains(&beyond),
        Some(Finger::Ring) => (2..=3).contains(&beyond),
        Some(Finger::Little) => (3..=4).contains(&beyond),
    }
}
