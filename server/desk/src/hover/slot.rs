//! Notes, brushes, holds and silences.

use lope_hand::{Fell, Thumb};
use lope_rules::Music;
use lope_tune::{Bar, BarId, EventId, EventKind, Frame, How, Note, NoteId, Slot, Stroke};

use super::label::marks;
use super::passing::{bar_time, group_time, slots, unit_name};
use super::{Hover, Look, drawing};
use crate::scale::Scale;

/// What there is to say of the slot under the cursor; of a note in a brush, what it does.
pub fn hover(look: Look<'_>) -> Option<Hover> {
    let music = look.music;
    let slots = &music.source.slots;
    let after = slots.partition_point(|slot| slot.span.start <= look.token.span.start);
    let slot = slots[..after].last().filter(|slot| look.token.span.end <= slot.span.end)?;
    let bar = music.bar_of(slot.event);
    let stand = Stand { music, bar, event: slot.event, slot };
    let (span, sound) = match stand.note_of_brush(look) {
        Some(note) => (music.note_span(note), stand.in_brush(note)),
        None => (slot.span, stand.sound()),
    };
    let lines = [sound, stand.hand(), stand.time()].concat();
    let drawing = drawing::group(&music, bar, slot.onset);
    Some(Hover { span, title: music.place_in_bar(bar, slot.onset).to_string(), lines, drawing })
}

/// A slot, with what it stands in.
struct Stand<'a> {
    music: Music<'a>,
    bar: BarId,
    event: EventId,
    slot: &'a Slot,
}

impl Stand<'_> {
    fn bar(&self) -> &Bar {
        &self.music.tune.bars[self.bar.index()]
    }

    fn frame(&self) -> &Frame {
        self.music.tune.frame(self.bar())
    }

    /// Whether the slot is a hold: its event began before it.
    fn is_hold(&self) -> bool {
        let event = &self.music.tune.events[self.event.index()];
        event.kind == EventKind::Ring || event.onset != self.slot.onset
    }

    /// The note under the cursor, where it is one of several in a brush.
    fn note_of_brush(&self, look: Look<'_>) -> Option<NoteId> {
        let event = self.music.event(self.event);
        let is_note = look.token.kind.is_note() && event.notes.len() > 1;
        let mut notes = event.notes.clone().map(NoteId).filter(|_| is_note);
        notes.find(|note| self.music.note_span(*note).start == look.token.span.start)
    }

    fn in_brush(&self, note: NoteId) -> Vec<String> {
        let strings = self.music.event(self.event).notes.len();
        let beside = format!("one of {strings} strings struck together: a brush");
        [self.told(self.music.note(note)), vec![beside]].concat()
    }

    /// What sounds: how, where on the neck, and its pitch.
    fn sound(&self) -> Vec<String> {
        let event = self.music.event(self.event);
        match event.kind {
            EventKind::Silence => vec!["silence".to_owned()],
            EventKind::Ring => vec!["what sounded before the bar rings on".to_owned()],
            EventKind::Notes if self.is_hold() => {
                let rung = self.music.event_span(self.event).of(self.music.text);
                let length = slots(event.length, self.frame());
                vec![format!("{rung} rings on: {length} {} in all", unit_name(self.frame().unit))]
            }
            EventKind::Notes => {
                let notes = self.music.tune.notes_of(event);
                notes.iter().flat_map(|note| self.told(note)).collect()
            }
        }
    }

    /// A note and its marks.
    fn told(&self, note: &Note) -> Vec<String> {
        [vec![self.note(note)], marks(note.marks)].concat()
    }

    fn note(&self, note: &Note) -> String {
        let header = &self.music.tune.header;
        let (string, fret) = (note.string, note.fret);
        let how = match note.how {
            How::Strike => "strike",
            How::Thumb if string == 5 => "thumb",
            How::Thumb => "drop-thumb",
            How::Hammer if note.alternate => "alternate-string hammer-on",
            How::Hammer => "hammer-on",
            How::Pull if note.alternate => "alternate-string pull-off",
            How::Pull => "pull-off",
            How::Slide => "slide",
        };
        let on = if string == 5 { "the drone".to_owned() } else { format!("string {string}") };
        let at = if fret == 0 { "open".to_owned() } else { format!("fret {fret}") };
        match header.tuning.sounds(string, fret, header.capo) {
            Some(pitch) => format!("{how}, {on} {at}: {}", Scale::of(self.music.tune).pitch_name(pitch)),
            None => format!("{how}, {on} {at}: no such place on the neck"),
        }
    }

    /// What the right hand does here, and what it should do.
    fn hand(&self) -> Vec<String> {
        let (tune, hand) = (self.music.tune, self.music.hand);
        if self.is_hold() {
            let (stroke, _) = self.frame().gait.at(self.slot.onset + self.bar().lead);
            return match stroke {
                Stroke::Fall => vec!["the hand falls on air, which keeps it in time".to_owned()],
                _ => Vec::new(),
            };
        }
        let motion = hand.motion(self.event);
        let silent = tune.events[self.event.index()].kind == EventKind::Silence;
        let does = match (motion.stroke, motion.fell) {
            (Stroke::Fall, Fell::Struck) => "the hand falls and strikes, as the gait has it",
            (Stroke::Fall, Fell::Air) => "the hand falls on air, which keeps it in time",
            (Stroke::Fall, Fell::Not) => "the hand should fall and strike here, and does not",
            (Stroke::Rise, Fell::Struck) => "the hand strikes where it should rise",
            (Stroke::Rise, _) => "the hand rises, as the gait has it",
            (Stroke::Between, Fell::Struck) => "the hand strikes between two of its strokes",
            (Stroke::Between, _) => "the hand is between two of its strokes",
        };
        let group = hand.group(tune, self.event).map(|group| {
            let (note, of, number) = (group.note, group.of, group.group);
            if of > 1 { format!("note {note} of {of} in group {number}: ") } else { String::new() }
        });
        let mut lines = vec![format!("{}{does}", group.unwrap_or_default())];
        if !silent {
            let here = |thumb: &&Thumb| thumb.event == self.event;
            lines.extend(hand.thumbs.iter().filter(here).map(planted));
        }
        lines
    }

    /// The time of the group, where it is the bar's own gait that makes it, and of the bar.
    fn time(&self) -> Vec<String> {
        let (bar, frame) = (self.bar(), self.frame());
        let in_run = self.music.event(self.event).run.is_some();
        let group = if in_run { None } else { group_time(bar, frame, self.slot.onset) };
        group.into_iter().chain([bar_time(bar, frame)]).collect()
    }
}

fn planted(thumb: &Thumb) -> String {
    match thumb.plant {
        None => "no fall before it has planted the thumb".to_owned(),
        Some(plant) => match plant.back {
            0 => "the thumb was planted at the fall on air just before".to_owned(),
            1 => "the thumb was planted at the note just before".to_owned(),
            back => format!("the thumb was planted {back} notes back and has to wait"),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, jig, reel};

    #[test]
    fn a_stumble_is_told_with_what_the_hand_should_do() {
        check(
            &jig("| 2:1 t h3  3:0 - - |"),
            "h3",
            &[
                "\"h3\" part A, bar 1, count 3",
                "hammer-on, string 2 fret 3: D4",
                "note 3 of 3 in group 1: the hand should fall and strike here, and does not",
                "group 1: 3 of 3 eighths",
                "bar: 6 of 6 eighths",
                "count  1    2  [3]",
                "gait   x    .  x",
                "hand   ▼    ▲  △!",
                "tab    2:1  t  h3",
            ],
        );
    }

    #[test]
    fn a_thumb_tells_where_it_was_planted() {
        check(
            &reel("| 2:1 t 2:0 |"),
            "t 2:0",
            &[
                "\"t\" part A, bar 1, count 1 &",
                "thumb, the drone open: G4",
                "note 2 of 2 in group 1: the hand rises, as the gait has it",
                "the thumb was planted at the note just before",
                "group 1: 2 of 2 eighths",
                "bar: 3 of 8 eighths",
                "count  1    [&]",
                "gait   x    .",
                "hand   ▼    ▲",
                "tab    2:1  t",
            ],
        );
    }

    /// Checks what is said, less the drawing.
    #[track_caller]
    fn says(text: &str, marked: &str, expected: &[&str]) {
        let mut hover = super::super::testing::hover(text, marked);
        hover.lines.insert(0, format!("{} {}", hover.span.of(text), hover.title));
        assert_eq!(hover.lines, expected);
    }

    #[test]
    fn holds_silences_and_runs_are_told_too() {
        says(
            &jig("| 2:1- - |"),
            "- |",
            &[
                "- part A, bar 1, count 3",
                "2:1 rings on: 3 eighths in all",
                "the hand falls on air, which keeps it in time",
                "group 1: 3 of 3 eighths",
                "bar: 3 of 6 eighths",
            ],
        );
        says(
            &reel("| {1:0 h2 p0}/2 _ |"),
            "_",
            &[
                "_ part A, bar 1, count 2",
                "silence",
                "note 1 of 2 in group 2: the hand falls on air, which keeps it in time",
                "group 2: 1 of 2 eighths",
                "bar: 3 of 8 eighths",
            ],
        );
        says(
            &reel("| {1:0 h2 1:3}/2 _ |"),
            "1:3",
            &[
                "1:3 part A, bar 1, count after 1 &",
                "strike, string 1 fret 3: F4",
                "note 3 of 3 in group 1: the hand falls and strikes, as the gait has it",
                "bar: 3 of 8 eighths",
            ],
        );
    }

    #[test]
    fn a_brush_is_told_as_a_whole_and_string_by_string() {
        let text = reel("| [3:0 2:1!] t |");
        let end = [
            "note 1 of 2 in group 1: the hand falls and strikes, as the gait has it",
            "group 1: 2 of 2 eighths",
            "bar: 2 of 8 eighths",
        ];
        let whole = [
            "[3:0 2:1!] part A, bar 1, count 1",
            "strike, string 3 open: G3",
            "strike, string 2 fret 1: C4",
            "accent: louder than the notes around it",
        ];
        says(&text, "[", &[&whole[..], &end].concat());
        says(&text, "] t", &[&whole[..], &end].concat());
        let one = [
            "2:1! part A, bar 1, count 1",
            "strike, string 2 fret 1: C4",
            "accent: louder than the notes around it",
            "one of 2 strings struck together: a brush",
        ];
        says(&text, "2:1!", &[&one[..], &end].concat());
    }
}
