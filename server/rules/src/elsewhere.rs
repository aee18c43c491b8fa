//! The same pitch on another string.

use lope_hand::Grip;
use lope_tune::{EventId, How, Note, NoteId};

use crate::fingered::{leads_to_slur, name_next};
use crate::spell::{respell, string_at};
use crate::{Edit, Mend, Music};

/// Sounds the pitch of `note` by `how` on another of the `strings`, the nearest place first: none where
/// the neck has no such place that the left hand can reach, or a slur depends on where the note is.
pub fn move_note(music: &Music, note: NoteId, how: How, strings: impl Fn(u8) -> bool) -> Option<Mend> {
    let place = places(music, note, strings).into_iter().next()?;
    moved(music, note, how, place)
}

/// Every way to sound `note` as it is sounded on another string, the nearest place first; with the other note
/// of its slur, where it starts or ends one.
pub fn moves(music: &Music, note: NoteId) -> Vec<Mend> {
    let Note { how, string, .. } = *music.note(note);
    if how.is_slur() {
        return origin(music, note).and_then(|from| move_slur(music, from, note)).into_iter().collect();
    }
    if how == How::Strike && leads_to_slur(music, note, string) {
        let slur = next_on(music, note, string).filter(|slur| origin(music, *slur) == Some(note));
        return slur.and_then(|slur| move_slur(music, note, slur)).into_iter().collect();
    }
    // A finger strikes the drone only awkwardly, and the thumb does not get to the string nearest the floor.
    let strings = |string: u8| if how == How::Strike { string < 5 } else { string > 1 };
    let places = places(music, note, strings).into_iter();
    places.filter_map(|place| moved(music, note, how, place)).collect()
}

/// The next note on `string` in the bar of `note`.
fn next_on(music: &Music, note: NoteId, string: u8) -> Option<NoteId> {
    let event = music.event_of(note);
    let events = event.0 + 1..music.tune.bars[music.bar_of(event).index()].events.end;
    let mut notes = events.flat_map(|event| music.event(EventId(event)).notes.clone()).map(NoteId);
    notes.find(|next| music.note(*next).string == string)
}

/// The strike that the slur `note` starts from, where it is in the same bar and both are alone in their
/// events: other slurs in a brush go by the same note.
pub fn origin(music: &Music, note: NoteId) -> Option<NoteId> {
    let event = music.event_of(note);
    if music.event(event).notes.len() > 1 {
        return None;
    }
    let bar = &music.tune.bars[music.bar_of(event).index()];
    let before = (bar.events.start..event.0).rev().map(|at| music.event(EventId(at)));
    let string = music.note(note).string;
    let on_string = |at: &NoteId| music.note(*at).string == string;
    let (origin, alone) = before
        .into_iter()
        .find_map(|event| Some((event.notes.clone().map(NoteId).find(on_string)?, event.notes.len() == 1)))?;
    (alone && music.note(origin).how == How::Strike).then_some(origin)
}

/// Sounds `note` by `how` at `string` and `fret`, where its pitch is.
fn moved(music: &Music, note: NoteId, how: How, (string, fret): (u8, u8)) -> Option<Mend> {
    let mut edits = vec![respell(music, note, how, Some(string), fret)];
    edits.extend(name_next(music, note)?);
    let at = string_at(string, fret);
    let title = match how {
        How::Strike => format!("strike {at}: the same pitch"),
        How::Thumb => format!("drop the thumb to {at}: the same pitch"),
        How::Hammer | How::Pull | How::Slide => format!("play it on {at}: the same pitch"),
    };
    Some(Mend::safe(title, edits))
}

/// Where else on `strings` the pitch of `note` is to be had, the least reach first.
fn places(music: &Music, note: NoteId, strings: impl Fn(u8) -> bool) -> Vec<(u8, u8)> {
    let written = music.note(note);
    if leads_to_slur(music, note, written.string) {
        return Vec::new();
    }
    let beside = music.tune.notes_of(music.event(music.event_of(note)));
    let is_free = |string: u8| {
        strings(string)
            && beside.iter().all(|other| other.string != string)
            && !leads_to_slur(music, note, string)
    };
    let mut places: Vec<(u8, u8)> = (1..=5)
        .filter(|string| is_free(*string))
        .filter_map(|string| Some((string, fret_on(music, written, string)?)))
        .filter(|(string, fret)| reaches(music, note, *string, *fret))
        .collect();
    places.sort_by_key(|(_, fret)| (spread(music, note, *fret), *fret));
    places
}

/// The fret at which `string` has the pitch of `note`, where the neck has it.
pub fn fret_on(music: &Music, note: &Note, string: u8) -> Option<u8> {
    let header = &music.tune.header;
    let pitch = header.tuning.sounds(note.string, note.fret, header.capo)?;
    let fret = header.tuning.fret_of(pitch, string, header.capo)?;
    (fret <= music.last_fret()).then_some(fret)
}

/// Whether the left hand gets to `string` at `fret` in place of `note` from what it holds just before and
/// just after, and can hold it with what sounds at the same time.
fn reaches(music: &Music, note: NoteId, string: u8, fret: u8) -> bool {
    let moved = Note { string, fret, ..*music.note(note) };
    let event = music.event_of(note);
    let with = |notes: &[Note], but: Option<Note>| {
        let mut notes: Vec<Note> = notes.to_vec();
        notes.retain(|other| Some(*other) != but && other.string != string);
        notes.push(moved);
        Grip::of(&notes).is_none_or(|grip| is_easy(music, &grip))
    };
    let around = [event.0.checked_sub(1), event.0.checked_add(1)];
    with(music.tune.notes_of(music.event(event)), Some(*music.note(note)))
        && around.into_iter().flatten().all(|at| {
            let beside = music.tune.events.get(at as usize);
            beside.is_none_or(|beside| with(music.tune.notes_of(beside), None))
        })
}

/// Whether a hand holds `grip` without a hard stretch and with the fingers it has.
pub fn is_easy(music: &Music, grip: &Grip) -> bool {
    grip.fingers <= 4 && grip.reach_mm(&music.neck, music.tune.header.capo) <= music.neck.widest_mm
}

/// How many frets `fret` lies from what is held around `note`; an open string lies at hand.
fn spread(music: &Music, note: NoteId, fret: u8) -> u8 {
    if fret == 0 {
        return 0;
    }
    let event = music.event_of(note).index();
    let around = [event.checked_sub(1), event.checked_add(1)];
    let around = around.into_iter().flatten().filter_map(|at| music.tune.events.get(at));
    let held = around.flat_map(|event| music.tune.notes_of(event)).map(|note| note.fret);
    held.filter(|held| *held > 0).map(|held| held.abs_diff(fret)).max().unwrap_or(0)
}

/// The edits that move the slur `note` with the strike `origin` it starts from to another string where the
/// hand holds both with ease.
pub fn move_slur(music: &Music, origin: NoteId, note: NoteId) -> Option<Mend> {
    let (from, to) = (music.note(origin), music.note(note));
    if leads_to_slur(music, note, to.string) {
        return None;
    }
    let place = |string: u8| {
        let (low, high) = (fret_on(music, from, string)?, fret_on(music, to, string)?);
        let easy = Grip::of_slur(low, high).is_none_or(|grip| is_easy(music, &grip));
        let free = string != to.string && !leads_to_slur(music, note, string);
        (easy && free && reaches(music, origin, string, low)).then_some((string, low, high))
    };
    let (string, low, high) = (1..=4).find_map(place)?;
    let named = (!crate::spell::is_unnamed(music, note)).then_some(string);
    let mut edits: Vec<Edit> = vec![respell(music, origin, How::Strike, Some(string), low)];
    edits.push(respell(music, note, to.how, named, high));
    edits.extend(name_next(music, note)?);
    let title = format!("play both on string {string}, at frets {low} and {high}: the same pitches");
    Some(Mend::safe(title, edits))
}
