use super::rhythm::{Item, rhythm};
use super::times::Times;
use crate::{
    Bar, BarContent, BarId, Event, EventKind, Finger, Frame, How, Label, LabelKind, Moment, Note, Tune,
};

/// Writes the bar numbered `id`, without its bar lines.
pub fn spell(tune: &Tune, id: BarId, into: &mut String) {
    let bar = &tune.bars[id.index()];
    let labels = stretch(&tune.labels, |label| label.bar, id);
    match &bar.content {
        BarContent::Slots if bar.events.is_empty() && labels.is_empty() => into.push_str("{}"),
        BarContent::Slots => {
            let frame = tune.frame(bar);
            let runs = stretch(&tune.runs, |run| run.bar, id);
            let times = Times::of(bar, frame.unit, tune.events_of(bar), labels, runs);
            let mut pen = Pen::new(tune, bar, labels, &times, into);
            pen.row(&rhythm(&times), 0, times.unit);
            pen.rest();
        }
        BarContent::Again => above(labels, "%", into),
        BarContent::Phrase { name, .. } => above(labels, &format!("@{name}"), into),
    }
}

/// The part of `list` that belongs to the bar numbered `id`.
fn stretch<T>(list: &[T], bar: impl Fn(&T) -> BarId, id: BarId) -> &[T] {
    let first = list.partition_point(|item| bar(item) < id);
    let len = list[first..].partition_point(|item| bar(item) == id);
    &list[first..first + len]
}

/// Writes `what` with `labels` above it.
fn above(labels: &[Label], what: &str, into: &mut String) {
    for label in labels {
        into.push_str(&label_text(label));
        into.push(' ');
    }
    into.push_str(what);
}

/// What was written last.
#[derive(Clone, Copy, PartialEq)]
enum Last {
    /// Nothing, or an opening brace.
    Open,
    /// Something a hold may touch.
    Sound,
    /// A label.
    Label,
    /// Something else.
    Other,
}

struct Pen<'b> {
    tune: &'b Tune,
    frame: &'b Frame,
    bar: &'b Bar,
    times: &'b Times,
    events: &'b [Event],
    labels: &'b [Label],
    /// How many events and labels are written.
    next_event: usize,
    next_label: usize,
    last: Last,
    /// How many braces are open.
    depth: u32,
    text: &'b mut String,
}

impl<'b> Pen<'b> {
    fn new(
        tune: &'b Tune,
        bar: &'b Bar,
        labels: &'b [Label],
        times: &'b Times,
        text: &'b mut String,
    ) -> Self {
        let (frame, events) = (tune.frame(bar), tune.events_of(bar));
        Self {
            tune,
            frame,
            bar,
            times,
            events,
            labels,
            next_event: 0,
            next_label: 0,
            last: Last::Open,
            depth: 0,
            text,
        }
    }

    /// Writes a row of slots that last `share`, from the tick `at`.
    fn row(&mut self, items: &[Item], mut at: i128, share: i128) {
        for item in items {
            self.labels_up_to(at);
            match item {
                Item::Slot => {
                    self.slot(at);
                    at += share;
                }
                Item::Brace { over, shares, items } => {
                    let length = share * *over as i128;
                    self.brace(items, at, length / *shares as i128);
                    if *over > 1 {
                        self.text.push_str(&format!("/{over}"));
                    }
                    at += length;
                }
            }
        }
    }

    fn brace(&mut self, items: &[Item], at: i128, share: i128) {
        self.blanks(at);
        self.text.push('{');
        (self.last, self.depth) = (Last::Open, self.depth + 1);
        self.row(items, at, share);
        self.text.push('}');
        (self.last, self.depth) = (Last::Sound, self.depth - 1);
    }

    /// Writes the slot that begins at the tick `at`: an event, or the last one going on.
    fn slot(&mut self, at: i128) {
        if self.times.events.get(self.next_event).is_some_and(|onset| *onset <= at) {
            self.blanks(at);
            self.event();
            return;
        }
        if self.last != Last::Sound || self.begins_group(at) {
            self.blanks(at);
        }
        self.text.push('-');
        self.last = Last::Other;
    }

    fn event(&mut self) {
        let event = &self.events[self.next_event];
        self.next_event += 1;
        self.last = Last::Sound;
        match (event.kind, self.tune.notes_of(event)) {
            (EventKind::Ring, _) => {
                self.text.push('-');
                self.last = Last::Other;
            }
            (EventKind::Notes, [note]) => self.text.push_str(&spell_note(note)),
            (EventKind::Notes, notes @ [_, ..]) => {
                for (at, note) in notes.iter().enumerate() {
                    self.text.push(if at == 0 { '[' } else { ' ' });
                    self.text.push_str(&spell_note(note));
                }
                self.text.push(']');
            }
            _ => {
                self.text.push('_');
                self.last = Last::Other;
            }
        }
    }

    /// Writes what stands above the tick `at`.
    fn labels_up_to(&mut self, at: i128) {
        while self.times.labels.get(self.next_label).is_some_and(|label| *label <= at) {
            self.blanks(at);
            self.label();
        }
    }

    fn label(&mut self) {
        self.text.push_str(&label_text(&self.labels[self.next_label]));
        self.next_label += 1;
        self.last = Last::Label;
    }

    /// Writes what no slot was there for: labels above the end, and events of a rhythm that braces do not
    /// reach.
    fn rest(&mut self) {
        while self.next_event < self.events.len() {
            self.text.push(' ');
            self.event();
        }
        while self.next_label < self.labels.len() {
            self.text.push_str(if self.last == Last::Open { "" } else { " " });
            self.label();
        }
    }

    /// Sets what comes at the tick `at` off from what is written: by two blanks where it begins a group.
    fn blanks(&mut self, at: i128) {
        self.text.push_str(match self.last {
            Last::Open => "",
            _ if self.begins_group(at) => "  ",
            _ => " ",
        });
    }

    /// Whether the slot at the tick `at` begins a group of its bar, or in braces of three in a run. What
    /// stands below a label has been set off with it.
    fn begins_group(&self, at: i128) -> bool {
        let onset = Moment::START + self.times.duration(at);
        if self.last == Last::Label {
            return false;
        }
        if self.depth == 0 {
            let place = onset + self.bar.lead;
            return self.frame.group(place).start == place;
        }
        let begun = self.times.events.get(self.next_event).is_some_and(|onset| *onset <= at);
        let event = self.events.get(if begun { self.next_event } else { self.next_event.wrapping_sub(1) });
        let run = event.and_then(|event| self.tune.runs.get(event.run? as usize));
        run.is_some_and(|run| run.begins_three(onset))
    }
}

/// `note` as it is written, with its marks. A slur on the string last fingered names no string.
pub fn spell_note(note: &Note) -> String {
    let Note { string, fret, how, alternate, marks } = note;
    let mut text = match how {
        How::Thumb if (*string, *fret) == (5, 0) => "t".to_owned(),
        How::Strike => format!("{string}:{fret}"),
        How::Thumb => format!("t{string}:{fret}"),
        How::Hammer | How::Pull | How::Slide => {
            let letter = match how {
                How::Hammer => 'h',
                How::Pull => 'p',
                _ => 's',
            };
            if *alternate { format!("{letter}{string}:{fret}") } else { format!("{letter}{fret}") }
        }
    };
    let written = [(marks.accent, "!"), (marks.vibrato, "~"), (marks.choke, "^")];
    written.into_iter().filter(|(is, _)| *is).for_each(|(_, mark)| text.push_str(mark));
    text.push_str(match marks.finger {
        None => "",
        Some(Finger::Index) => "/i",
        Some(Finger::Middle) => "/m",
        Some(Finger::Ring) => "/r",
        Some(Finger::Little) => "/p",
    });
    text
}

/// A label in its quotes or brackets, without what would end it early.
fn label_text(label: &Label) -> String {
    let text = label.text.replace(['\r', '\n'], " ");
    match label.kind {
        LabelKind::Words => format!("\"{}\"", text.replace('"', "'")),
        LabelKind::Chord => format!("<{}>", text.replace(['<', '>', '|'], "")),
    }
}
