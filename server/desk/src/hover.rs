use lope_hand::{Fell, Group, Thumb};
use lope_rules::{Music, Place};
use lope_syntax::Span;
use lope_tune::{Bar, BarId, Duration, EventId, EventKind, Frame, Gait, How, Moment, Note, Slot, Stroke};

use crate::{Page, Reading, Sheet};

/// What there is to say of the text under a cursor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hover {
    /// The text it is about, in bytes from the start of its tune's text.
    pub span: Span,
    /// Where it is, as a player says it.
    pub place: Place,
    /// What there is to say, a line each.
    pub lines: Vec<String>,
}

impl Page {
    /// What there is to say of the slot at `offset`, in bytes from the start of the file.
    pub fn hover(&self, offset: usize) -> Option<(Sheet<'_>, Hover)> {
        let sheet = self.sheet_at(offset)?;
        let hover = sheet.reading.hover(u32::try_from(offset - sheet.offset).ok()?)?;
        Some((sheet, hover))
    }
}

impl Reading {
    /// What there is to say of the slot at `at`; of two that touch there, the one that starts.
    fn hover(&self, at: u32) -> Option<Hover> {
        let music = self.music();
        let slots = &music.source.slots;
        let after = slots.partition_point(|slot| slot.span.start <= at);
        let slot = slots[..after].last().filter(|slot| slot.span.touches(at))?;
        let bar = music.bar_of(slot.event);
        let stand = Stand { music, bar, event: slot.event, slot };
        let lines = [stand.sound(), stand.hand(), stand.time()].concat();
        Some(Hover { span: slot.span, place: music.place_in_bar(bar, slot.onset), lines })
    }
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

    /// What sounds: how, where on the neck, and its pitch.
    fn sound(&self) -> Vec<String> {
        let event = &self.music.tune.events[self.event.index()];
        match event.kind {
            EventKind::Silence => vec!["silence".to_owned()],
            _ if self.is_hold() => vec!["rings on".to_owned()],
            _ => self.music.tune.notes_of(event).iter().map(|note| self.note(note)).collect(),
        }
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
            Some(pitch) => format!("{how}, {on} {at}: {pitch}"),
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

    /// The time of the group and of the bar: filled of full, in slots.
    fn time(&self) -> Vec<String> {
        let (bar, frame) = (self.bar(), self.frame());
        let full = frame.meter.bar() - bar.lead;
        let whole =
            format!("bar: {} of {} {}", slots(bar.length, frame), slots(full, frame), unit_name(frame.unit));
        let group =
            self.music.hand.group(self.music.tune, self.event).and_then(|group| self.group_time(&group));
        group.into_iter().chain([whole]).collect()
    }

    /// The time of the group, where it is the bar's own gait that makes it.
    fn group_time(&self, group: &Group) -> Option<String> {
        let tune = self.music.tune;
        let event = &tune.events[self.event.index()];
        if event.run.is_some() || group.of < 2 {
            return None;
        }
        let (bar, frame) = (self.bar(), self.frame());
        let gait: Gait = frame.gait;
        let number = u64::from(self.music.hand.motion(self.event).number);
        let first = number - (group.note - 1);
        let at = |stroke: u64| Moment::START + gait.step().times(u32::try_from(stroke).unwrap_or(u32::MAX));
        let (from, to) = (at(first).max(Moment::START + bar.lead), at(first + group.of));
        let filled = (Moment::START + bar.lead + bar.length).min(to) - from;
        Some(format!(
            "group {}: {} of {} {}",
            group.group,
            slots(filled, frame),
            slots(to - from, frame),
            unit_name(frame.unit)
        ))
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

/// `length` in slots: `5`, `1/2`, `5 2/3`.
fn slots(length: Duration, frame: &Frame) -> String {
    let (whole, rest) = length.divide(frame.unit);
    if rest == Duration::ZERO {
        return whole.to_string();
    }
    let share = Duration::new(
        rest.numerator().saturating_mul(frame.unit.denominator()),
        rest.denominator().saturating_mul(frame.unit.numerator()),
    );
    if whole == 0 { share.to_string() } else { format!("{whole} {share}") }
}

/// What players call slots of `unit`.
fn unit_name(unit: Duration) -> String {
    match unit.denominator() {
        1 => "wholes".to_owned(),
        2 => "halves".to_owned(),
        4 => "quarters".to_owned(),
        8 => "eighths".to_owned(),
        16 => "sixteenths".to_owned(),
        _ => format!("slots of {unit}"),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::Settings;

    /// What is said of the text marked by `^` in the line below it.
    #[track_caller]
    fn check(meter: &str, music: &str, caret: &str, expected: &str) {
        let head = format!("tune: T\nmeter: {meter}\npart A\n");
        let text = format!("{head}{music}\n");
        let at = head.len() + caret.find('^').unwrap();
        let page = Page::read(&text, &Arc::new(Settings::default()));
        let (_, hover) = page.hover(at).unwrap();
        let said = format!("{} {}\n{}", hover.span.of(&text), hover.place, hover.lines.join("\n"));
        assert_eq!(said, expected);
    }

    #[test]
    fn a_stumble_is_told_with_what_the_hand_should_do() {
        check(
            "6/8",
            "| 2:1 t h3  3:0 - - |",
            "        ^",
            "h3 part A, bar 1, count 3\n\
             hammer-on, string 2 fret 3: D4\n\
             note 3 of 3 in group 1: the hand should fall and strike here, and does not\n\
             group 1: 3 of 3 eighths\nbar: 6 of 6 eighths",
        );
    }

    #[test]
    fn a_thumb_tells_where_it_was_planted() {
        check(
            "4/4",
            "| 2:1 t 2:0 |",
            "      ^",
            "t part A, bar 1, count 1 &\nthumb, the drone open: G4\n\
             note 2 of 2 in group 1: the hand rises, as the gait has it\n\
             the thumb was planted at the note just before\n\
             group 1: 2 of 2 eighths\nbar: 3 of 8 eighths",
        );
    }

    #[test]
    fn holds_silences_and_runs_are_told_too() {
        check(
            "6/8",
            "| 2:1- - |",
            "     ^",
            "- part A, bar 1, count 2\nrings on\ngroup 1: 3 of 3 eighths\nbar: 3 of 6 eighths",
        );
        check(
            "4/4",
            "| {1:0 h2 p0}/2 _ |",
            "                ^",
            "_ part A, bar 1, count 2\nsilence\n\
             note 1 of 2 in group 2: the hand falls on air, which keeps it in time\n\
             group 2: 1 of 2 eighths\nbar: 3 of 8 eighths",
        );
        check(
            "4/4",
            "| {1:0 h2 1:3}/2 _ |",
            "          ^",
            "1:3 part A, bar 1, count after 1 &\nstrike, string 1 fret 3: F4\n\
             note 3 of 3 in group 1: the hand falls and strikes, as the gait has it\nbar: 3 of 8 eighths",
        );
    }

    #[test]
    fn between_slots_there_is_nothing_to_say() {
        let text = "tune: T\nmeter: 6/8\npart A\n| 1:0  2:0 |\n";
        let page = Page::read(text, &Arc::new(Settings::default()));
        assert!(page.hover(text.find("  2:0").unwrap() + 1).is_none());
        assert!(page.hover(2).is_none());
        assert!(page.hover(999).is_none());
    }
}
