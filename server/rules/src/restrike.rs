//! Striking a note that the hand does not strike, or letting the hand fall on air instead.

use lope_tune::{EventId, EventKind, How, NoteId};

use crate::elsewhere::move_note;
use crate::fingered::name_next;
use crate::spell::strike;
use crate::{Edit, Mend, Music};

/// The ways to have the hand fall where `note` is. A note on a long string is struck where it is. A finger
/// strikes the drone only awkwardly, so its pitch is struck on a long string where there is one within
/// reach. Last, the note is left out and the hand falls on air.
pub fn mends(music: &Music, note: NoteId) -> Vec<Mend> {
    let struck = match music.note(note).string {
        5 => move_note(music, note, How::Strike, |string| string < 5),
        _ => strike(music, note),
    };
    struck.into_iter().chain(leave_out(music, note)).collect()
}

/// Leaves `note` out: what sounded before rings on, or nothing sounds. None for one of several at once.
fn leave_out(music: &Music, note: NoteId) -> Option<Mend> {
    let id = music.event_of(note);
    let event = music.event(id);
    if event.notes.len() > 1 {
        return None;
    }
    let rings = rings_before(music, id);
    let mut edits = vec![Edit::replace(music.note_span(note), if rings { "-" } else { "_" })];
    if !rings {
        // Holds after a silence would have nothing to prolong.
        let slots = &music.source.slots[music.source.events[id.index()] as usize..];
        let holds = slots.iter().skip(1).take_while(|slot| slot.event == id);
        edits.extend(holds.map(|hold| Edit::replace(hold.span, "_")));
    }
    if music.note(note).string != 5 {
        edits.extend(name_next(music, note)?);
    }
    Some(Mend::risky("leave the note out and let the hand fall on air", edits))
}

/// Whether something sounds when `event` begins.
fn rings_before(music: &Music, event: EventId) -> bool {
    let bar = music.bar_of(event);
    let first = music.tune.bars[bar.index()].events.start;
    let before = if first < event.0 {
        Some(event.0 - 1)
    } else {
        let meeting = music.hand.meeting(bar);
        let before = meeting.and_then(|meeting| meeting.before);
        before.and_then(|before| music.tune.bars[before.index()].events.clone().last())
    };
    before.is_some_and(|before| music.event(EventId(before)).kind != EventKind::Silence)
}
