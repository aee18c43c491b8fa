//! The notes that could take the next slot, each with what it costs to come to: the cheapest is the likeliest.
//!
//! The costs are judgements, from memory of what players do: the melody moves by steps, the left hand stays
//! where it is, the thumb has the drone.

use lope_rules::Music;
use lope_tune::{How, Pitch, Stroke};

use super::likely::{Token, Ways};
use super::standing::Standing;
use super::{Completion, CompletionKind};
use crate::scale::Scale;
use crate::topic::{Subject, Topic};

/// A token that could take the next slot.
pub struct Candidate {
    /// The token.
    pub text: String,
    /// What it is and what the hand does.
    pub detail: String,
    /// What it costs.
    pub cost: i32,
    /// What sort of token it is.
    pub topic: &'static str,
}

/// Where the next slot is, with what tells which notes are likely.
pub struct Chooser<'a> {
    /// Where it is.
    pub standing: &'a Standing<'a>,
    scale: Scale,
    /// What the tune has done so far.
    pub ways: Ways,
}

/// What a note costs that is not of the key, or out of the left hand's reach.
const FAR: i32 = 60;

/// What it costs to go against the gait.
const AGAINST: i32 = 100;

/// The most frets a hammer-on, pull-off or slide is offered over.
const SLUR_FRETS: u8 = 4;

impl<'a> Chooser<'a> {
    /// For the slot at `standing`.
    pub fn new(standing: &'a Standing<'a>) -> Self {
        Self { standing, scale: Scale::of(standing.music.tune), ways: Ways::of(standing) }
    }

    fn music(&self) -> &'a Music<'a> {
        self.standing.music
    }

    /// The key.
    pub const fn key(&self) -> &Scale {
        &self.scale
    }

    /// What `string` sounds at `fret`, where the neck has that.
    pub fn pitch(&self, string: u8, fret: u8) -> Option<Pitch> {
        let header = &self.music().tune.header;
        header.tuning.sounds(string, fret, header.capo).filter(|_| fret <= self.music().last_fret())
    }

    /// Whether `string` at `fret` is a note of the key that the left hand can reach.
    fn is_near(&self, string: u8, fret: u8) -> bool {
        self.pitch(string, fret).is_some_and(|pitch| self.scale.has(pitch)) && self.standing.reaches(fret)
    }

    /// Strikes of the long strings: those near, and the others too where they are `asked` for by string.
    pub fn strikes(&self, asked: Option<u8>) -> Vec<Candidate> {
        let strings = asked.map_or(1..=4, |string| string..=string);
        let places =
            strings.flat_map(|string| (0..=self.music().last_fret()).map(move |fret| (string, fret)));
        let used = |string: u8| self.standing.brush.is_some_and(|used| used.has(string));
        let wanted =
            places.filter(|(string, fret)| asked.is_some() || !used(*string) && self.is_near(*string, *fret));
        wanted
            .filter_map(|(string, fret)| self.note(How::Strike, Some(string), string, fret, "strike", 0))
            .collect()
    }

    /// The drone, and the thumb dropped to strings on the player's side of the one struck; to all long strings
    /// but the first where they are `asked` for.
    pub fn thumbs(&self, asked: bool) -> Vec<Candidate> {
        let drone = self
            .note(How::Thumb, None, 5, 0, "thumb", 0)
            .map(|drone| Candidate { text: "t".to_owned(), ..drone });
        let struck = self.standing.wake.struck.unwrap_or(5);
        let strings = (2..=4).filter(|string| asked || *string > struck);
        let places =
            strings.flat_map(|string| (0..=self.music().last_fret()).map(move |fret| (string, fret)));
        let near = places.filter(|(string, fret)| self.is_near(*string, *fret));
        let dropped = near.filter_map(|(string, fret)| {
            let crosses = if string > struck { 0 } else { FAR };
            self.note(How::Thumb, Some(string), string, fret, "drop-thumb", 16 + crosses)
        });
        drone.into_iter().chain(dropped).collect()
    }

    /// Hammer-ons, pull-offs or slides on the string last fingered, from the fret that sounds there.
    pub fn slurs(&self, how: How) -> Vec<Candidate> {
        let wake = &self.standing.wake;
        let Some(string) = wake.fingered else { return Vec::new() };
        let Some(from) = wake.sounding[usize::from(string)] else { return Vec::new() };
        let frets = match how {
            How::Hammer => from + 1..=from.saturating_add(SLUR_FRETS),
            How::Pull if from == 0 => return Vec::new(),
            How::Pull => 0..=from - 1,
            // A finger has to be on the string to slide.
            _ if from == 0 => return Vec::new(),
            _ => from.saturating_sub(SLUR_FRETS).max(1)..=from.saturating_add(SLUR_FRETS),
        };
        let (name, base) = match how {
            How::Hammer => ("hammer-on", 8),
            How::Pull => ("pull-off", 8),
            _ => ("slide", 22),
        };
        let near = frets.filter(|fret| *fret != from && (*fret == 0 || fret.abs_diff(from) <= SLUR_FRETS));
        let near = near.filter(|fret| self.is_near(string, *fret));
        near.filter_map(|fret| {
            let slur = self.note(how, None, string, fret, name, base)?;
            let from = if from == 0 { "the open string".to_owned() } else { format!("fret {from}") };
            let detail = slur.detail.replacen(name, &format!("{name} from {from}"), 1);
            Some(Candidate { detail, ..slur })
        })
        .collect()
    }

    /// Open strings that the left hand plucks away from the one it is on.
    pub fn alternates(&self) -> Vec<Candidate> {
        let fingered = self.standing.wake.fingered;
        let strings = (1..=4).filter(|string| Some(*string) != fingered && self.is_near(*string, 0));
        strings.filter_map(|string| self.note(How::Pull, Some(string), string, 0, "pull-off", 40)).collect()
    }

    /// A note, written with its string where `named`.
    fn note(
        &self,
        how: How,
        named: Option<u8>,
        string: u8,
        fret: u8,
        name: &'static str,
        base: i32,
    ) -> Option<Candidate> {
        let pitch = self.pitch(string, fret)?;
        let letter = match how {
            How::Strike => "",
            How::Thumb => "t",
            How::Hammer => "h",
            How::Pull => "p",
            How::Slide => "s",
        };
        let text =
            named.map_or_else(|| format!("{letter}{fret}"), |string| format!("{letter}{string}:{fret}"));
        let drone = how == How::Thumb && string == 5;
        let cost = base + if drone { 0 } else { self.melody(pitch) + self.hand(fret) };
        let known = self.ways.count(Token::Note(string, fret, how));
        let detail = format!("{}, {name} {}", self.scale.pitch_name(pitch), self.does(how));
        let used = 2 * i32::try_from(self.ways.place(string, fret).min(4)).unwrap_or_default();
        let against = if self.goes_against(how) { AGAINST } else { 0 };
        Some(Candidate { text, detail, cost: cost + against - bonus(known) - used, topic: name })
    }

    /// What it costs the melody to come to `pitch`.
    fn melody(&self, pitch: Pitch) -> i32 {
        let step = match self.standing.wake.pitch {
            None if self.scale.is_home(pitch) => 0,
            None => 6,
            Some(last) => match last.0.abs_diff(pitch.0) {
                0 => 4,
                1 | 2 => 0,
                3 | 4 => 3,
                5 => 6,
                7 => 8,
                // However far it leaps, it has to leap to some string.
                wide => i32::from(wide.min(12)) + 6,
            },
        };
        let chord = match &self.standing.chord {
            Some(chord) if chord.has(pitch) => -5,
            _ => 0,
        };
        let foreign = if self.scale.has(pitch) { 0 } else { FAR };
        step + chord + foreign
    }

    /// What it costs the left hand to come to `fret`.
    fn hand(&self, fret: u8) -> i32 {
        if fret == 0 {
            return 0;
        }
        let far = if self.standing.reaches(fret) { 0 } else { FAR };
        let moved = match self.standing.wake.held() {
            Some(held) => fret.saturating_sub(held.end).max(held.start.saturating_sub(fret)),
            None => fret,
        };
        far + 2 + 2 * i32::from(moved)
    }

    fn goes_against(&self, how: How) -> bool {
        match (self.standing.stroke, how) {
            _ if self.standing.brush.is_some() => false,
            (Stroke::Fall, How::Strike) => false,
            (Stroke::Fall, _) | (_, How::Strike) => true,
            (Stroke::Between, How::Thumb) => true,
            _ => false,
        }
    }

    /// What the right hand does, or should.
    pub fn does(&self, how: How) -> String {
        let on = self.standing.count().map_or_else(String::new, |count| format!(" on {count}"));
        if self.standing.brush.is_some() {
            return "in the brush".to_owned();
        }
        match (self.standing.stroke, how) {
            (Stroke::Fall, How::Strike) => format!("as the hand falls{on}"),
            (Stroke::Fall, _) => format!("where the hand should fall{on}"),
            (Stroke::Rise, How::Strike) => format!("where the hand should rise{on}"),
            (Stroke::Rise, _) => format!("as the hand rises{on}"),
            (Stroke::Between, How::Strike | How::Thumb) => "between two strokes of the hand".to_owned(),
            (Stroke::Between, _) => "while the hand is on its way".to_owned(),
        }
    }
}

/// What it saves that something was done `count` times before.
pub fn bonus(count: u32) -> i32 {
    4 * i32::try_from(count.min(10)).unwrap_or_default()
}

impl From<Candidate> for Completion {
    fn from(candidate: Candidate) -> Self {
        let topic = Topic::new(Subject::Token, candidate.topic);
        Self::new(CompletionKind::Slot, candidate.text, candidate.detail).about(topic)
    }
}
