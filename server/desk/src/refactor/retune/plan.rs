//! Where to play every note: the cheapest way through all the places where it could be.
//!
//! Each section is gone through event by event. What the next event depends on is the string last fingered,
//! since a slur goes on from there, and the fret the hand is at; so for each such pair the cheapest way there
//! is kept (a shortest path; Bellman, 1957). The costs are from memory: what a player would rather not do.

use std::collections::BTreeMap;

use lope_rules::Music;
use lope_tune::{BarContent, EventId, How, Note, Pitch, Section, Tuning};

use super::left_hand::{LeftHand, Spot};

/// What it costs to play a note on another string than before: fingerings are learnt.
const OTHER_STRING: u32 = 6;
/// What it costs to drop the thumb where it played the drone.
const DROPPED: u32 = 8;
/// What it costs when the thumb comes down on the floor side of the string just struck, or on it.
const CROSSED: u32 = 100;

/// The place of each note of the tune with `tuning` and the capo at `capo`, so that it sounds as it does. The
/// error says which note has none.
pub fn plan(music: &Music<'_>, tuning: Tuning, capo: u8) -> Result<Vec<Spot>, String> {
    let planner = Planner { music, tuning, capo, hand: LeftHand::new(music, capo) };
    let mut spots: Vec<Spot> = music.tune.notes.iter().map(|note| (note.string, note.fret)).collect();
    for section in &music.tune.sections {
        planner.section(section, &mut spots)?;
    }
    Ok(spots)
}

struct Planner<'m> {
    music: &'m Music<'m>,
    tuning: Tuning,
    capo: u8,
    hand: LeftHand<'m>,
}

/// The string last fingered and its fret; none at the start of a section and after a phrase.
type Held = Option<Spot>;

/// The cheapest way to what is held after an event.
struct Way {
    cost: u32,
    /// What was held before.
    from: Held,
    /// Where the notes of the event are played.
    spots: Vec<Spot>,
}

impl Planner<'_> {
    /// Plans the notes of `section` into `spots`.
    fn section(&self, section: &Section, spots: &mut [Spot]) -> Result<(), String> {
        let tune = self.music.tune;
        let mut layers: Vec<(EventId, BTreeMap<Held, Way>)> = Vec::new();
        let mut held: BTreeMap<Held, u32> = BTreeMap::from([(None, 0)]);
        for (_, bar) in tune.bars_of(section) {
            if matches!(bar.content, BarContent::Phrase { .. }) {
                // What a phrase leaves fingered is not asked: the slurs that would go on from it are refused.
                settle(&mut layers, spots, tune);
                held = BTreeMap::from([(None, 0)]);
            }
            for event in bar.events.clone().map(EventId) {
                let notes = tune.notes_of(self.music.event(event));
                if notes.is_empty() {
                    continue;
                }
                let ways = self.ways(notes, &held);
                if ways.is_empty() {
                    return Err(self.refusal(event, notes));
                }
                held = ways.iter().map(|(held, way)| (*held, way.cost)).collect();
                layers.push((event, ways));
            }
        }
        settle(&mut layers, spots, tune);
        Ok(())
    }

    /// The cheapest ways through `event` from each of `held`.
    fn ways(&self, notes: &[Note], held: &BTreeMap<Held, u32>) -> BTreeMap<Held, Way> {
        let pitches: Vec<Option<Pitch>> = notes.iter().map(|note| self.pitch(note)).collect();
        let mut ways: BTreeMap<Held, Way> = BTreeMap::new();
        for (from, before) in held {
            let mut choices: Vec<Vec<Spot>> = vec![Vec::new()];
            for (note, pitch) in notes.iter().zip(&pitches) {
                let spots = self.spots(note, *pitch, *from);
                let grown = choices.iter().flat_map(|chosen| {
                    let free = spots.iter().filter(|spot| chosen.iter().all(|other| other.0 != spot.0));
                    free.map(|spot| [chosen.as_slice(), &[*spot]].concat()).collect::<Vec<_>>()
                });
                choices = grown.collect();
            }
            for spots in choices.into_iter().filter(|spots| self.hand.holds(notes, spots)) {
                let to = spots.iter().rev().find(|spot| spot.0 <= 4).copied().or(*from);
                let cost = before + Self::cost(notes, &spots, *from);
                if ways.get(&to).is_none_or(|way| cost < way.cost) {
                    ways.insert(to, Way { cost, from: *from, spots });
                }
            }
        }
        ways
    }

    /// What `note` sounds now.
    fn pitch(&self, note: &Note) -> Option<Pitch> {
        let header = &self.music.tune.header;
        header.tuning.sounds(note.string, note.fret, header.capo)
    }

    /// Where `note` could be played when `held` is what was fingered last.
    fn spots(&self, note: &Note, pitch: Option<Pitch>, held: Held) -> Vec<Spot> {
        let Some(pitch) = pitch else { return Vec::new() };
        let place = |string: u8| {
            let fret = self.tuning.fret_of(pitch, string, self.capo)?;
            (fret <= self.hand.last_fret()).then_some((string, fret))
        };
        let wanted = |string: u8| match note.how {
            How::Strike => string <= 4 || note.string == 5,
            How::Thumb => string >= 2 || note.string == 1,
            _ if note.alternate => string <= 4 && held.is_none_or(|held| held.0 != string),
            _ => held.is_some_and(|held| held.0 == string),
        };
        let sounds = |spot: &Spot| match note.how {
            How::Hammer if note.alternate => spot.1 > 0,
            How::Hammer | How::Pull | How::Slide if !note.alternate => {
                held.is_some_and(|held| self.hand.reaches(note.how, held.1, spot.1))
            }
            _ => true,
        };
        (1..=5).filter(|string| wanted(*string)).filter_map(place).filter(sounds).collect()
    }

    /// What it costs to play `notes` at `spots` after `held`.
    fn cost(notes: &[Note], spots: &[Spot], held: Held) -> u32 {
        let notes = notes.iter().zip(spots).map(|(note, (string, fret))| {
            let other = if note.string == *string { 0 } else { OTHER_STRING };
            let thumb = note.how == How::Thumb;
            let dropped = if thumb && note.string == 5 && *string != 5 { DROPPED } else { 0 };
            let crosses = |held: Spot| thumb && *string <= held.0;
            let crossed = if held.is_some_and(crosses) { CROSSED } else { 0 };
            // An open string gives the hand time to move.
            let shift = held.filter(|held| held.1 > 0 && *fret > 0).map_or(0, |held| held.1.abs_diff(*fret));
            other + dropped + crossed + u32::from(shift) + u32::from(*fret / 3)
        });
        notes.sum()
    }

    /// Why `event` can be played nowhere.
    fn refusal(&self, event: EventId, notes: &[Note]) -> String {
        let place = self.music.place_of_event(event);
        if notes.iter().any(|note| self.pitch(note).is_none()) {
            return format!("{place}: there is a note here that is not on the neck");
        }
        let names: Vec<String> =
            notes.iter().filter_map(|note| self.pitch(note)).map(|pitch| pitch.to_string()).collect();
        let how = match notes {
            [Note { how: How::Thumb, .. }] => "the thumb has no string for",
            [Note { how, .. }] if how.is_slur() => "no slur from the note before leads to",
            _ => "no string within reach has",
        };
        format!("{place}: {how} {}", names.join(" and "))
    }
}

/// Writes down the cheapest way through `layers`, from its end to its start.
fn settle(layers: &mut Vec<(EventId, BTreeMap<Held, Way>)>, spots: &mut [Spot], tune: &lope_tune::Tune) {
    let last = layers.last().and_then(|(_, ways)| ways.iter().min_by_key(|(_, way)| way.cost));
    let Some(mut held) = last.map(|(held, _)| *held) else { return };
    for (event, ways) in layers.drain(..).rev() {
        let Some(way) = ways.get(&held) else { return };
        let first = tune.events[event.index()].notes.start as usize;
        spots[first..first + way.spots.len()].copy_from_slice(&way.spots);
        held = way.from;
    }
}
