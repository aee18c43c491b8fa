//! Which notes depend on which: a slur that names no string is on the string last fingered, and sounds
//! from what that string sounded. A mend that moves a note must leave both as they are.

use std::ops::Range;

use lope_tune::{BarContent, Event, EventKind, How, Note, NoteId};

use crate::spell::{is_unnamed, respell};
use crate::{Edit, Music};

/// How many notes ahead or back a mend looks. Music that goes on longer without fingering a string does
/// not need the mend; text that is not music must not take the square of its length.
const FAR: usize = 64;

/// The edits that keep every slur after `note` on its string, whatever string `note` is moved to: the
/// next slur that depends on it, or those of the next brush, are given their string's name. None where
/// that cannot be made sure.
pub fn name_next(music: &Music, note: NoteId) -> Option<Vec<Edit>> {
    let after = music.event(music.event_of(note)).notes.end;
    let rest = after..section_notes(music, note).end;
    let scan = rest.clone().take(FAR).map(NoteId);
    let Some(next) = scan.into_iter().find(|next| is_fingered(music, *next)) else {
        return (rest.len() <= FAR && !a_section_starts_with_a_slur(music)).then(Vec::new);
    };
    let brush = next.0..music.event(music.event_of(next)).notes.end;
    let named = brush.map(NoteId).filter(|next| is_unnamed(music, *next)).map(|next| {
        let Note { how, string, fret, .. } = *music.note(next);
        (string != 0 && fret < u8::MAX).then(|| respell(music, next, how, Some(string), fret))
    });
    named.collect()
}

/// The note last fingered before `note`, as far as its own section tells.
pub fn last_before(music: &Music, note: NoteId) -> Option<NoteId> {
    let event = music.event_of(note);
    let first = section_notes(music, note).start;
    let before = (first..music.event(event).notes.start).rev().take(FAR).map(NoteId);
    let last = before.into_iter().find(|before| is_fingered(music, *before))?;
    let (from, to) = (music.bar_of(music.event_of(last)), music.bar_of(event));
    let calls = |at: u32| matches!(music.tune.bars[at as usize].content, BarContent::Phrase { .. });
    (!(from.0..to.0).any(calls)).then_some(last)
}

/// Whether the next note on `string` after the event of `note` is a slur that starts from what the string
/// sounds by then.
pub fn leads_to_slur(music: &Music, note: NoteId, string: u8) -> bool {
    let event = music.event_of(note).index() + 1;
    let events: &[Event] = music.tune.events.get(event..).unwrap_or_default();
    for event in events.iter().take(FAR) {
        if event.kind == EventKind::Silence {
            return false;
        }
        if let Some(next) = music.tune.notes_of(event).iter().find(|note| note.string == string) {
            return next.how.is_slur() && (!next.alternate || next.how == How::Slide);
        }
    }
    false
}

/// Whether a slur further down may depend on what a section leaves fingered.
fn a_section_starts_with_a_slur(music: &Music) -> bool {
    for section in &music.tune.sections {
        let mut opens = true;
        for (_, bar) in music.tune.bars_of(section) {
            if matches!(bar.content, BarContent::Phrase { .. }) {
                opens = true;
            }
            for event in music.tune.events_of(bar) {
                let notes = event.notes.clone().map(NoteId);
                for note in notes.filter(|note| is_fingered(music, *note)) {
                    if opens && is_unnamed(music, note) {
                        return true;
                    }
                    opens = false;
                }
            }
        }
    }
    false
}

/// Whether `note` fingers a string that later slurs may go on from: the drone does not count.
fn is_fingered(music: &Music, note: NoteId) -> bool {
    matches!(music.note(note).string, 1..=4) || is_unnamed(music, note)
}

/// The notes of the section that `note` is in.
fn section_notes(music: &Music, note: NoteId) -> Range<u32> {
    let bar = music.bar_of(music.event_of(note));
    let section = music.source.bars[bar.index()].section;
    let bars = &music.tune.sections[section.index()].bars;
    let bars = &music.tune.bars[bars.start as usize..bars.end as usize];
    let events = bars.first().map_or(0, |bar| bar.events.start)..bars.last().map_or(0, |bar| bar.events.end);
    let events = &music.tune.events[events.start as usize..events.end as usize];
    events.first().map_or(0, |event| event.notes.start)..events.last().map_or(0, |event| event.notes.end)
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn slurs_that_name_no_string_stay_on_theirs() {
        let next = Piece::jig("| 3:0 - t  h2 t 1:0 |");
        assert_eq!(next.first_mends("off-strike")[0].1, "| 3:0 - 1:5  h3:2 t 1:0 |");
        let in_a_brush = Piece::jig("| 3:0 - t  [2:0 h2] t 1:0 |");
        assert_eq!(in_a_brush.first_mends("off-strike")[0].1, "| 3:0 - 1:5  [2:0 h3:2] t 1:0 |");
    }
}
