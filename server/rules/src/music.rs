use lope_hand::Hand;
use lope_syntax::{Span, Tree};
use lope_tune::{
    Bar, BarId, Event, EventId, Issue, Moment, Neck, Note, NoteId, Reading, SectionKind, Source, Tune,
};

use crate::Place;

/// All there is to know of one tune: what rules look at.
#[derive(Clone, Copy)]
pub struct Music<'a> {
    /// The tune's text, from which all spans count.
    pub text: &'a str,
    /// Its tree.
    pub tree: &'a Tree,
    /// Its music.
    pub tune: &'a Tune,
    /// Where each piece of it was written.
    pub source: &'a Source,
    /// What the text says that makes no music.
    pub issues: &'a [Issue],
    /// What both hands do.
    pub hand: &'a Hand,
    /// The neck it is played on.
    pub neck: Neck,
}

impl<'a> Music<'a> {
    /// The music of `text`, read as `tree` and `reading`, played as `hand` on `neck`.
    pub fn new(text: &'a str, tree: &'a Tree, reading: &'a Reading, hand: &'a Hand, neck: Neck) -> Self {
        let Reading { tune, source, issues, .. } = reading;
        Self { text, tree, tune, source, issues, hand, neck }
    }

    /// The note numbered `note`.
    pub fn note(&self, note: NoteId) -> &'a Note {
        &self.tune.notes[note.index()]
    }

    /// The event numbered `event`.
    pub fn event(&self, event: EventId) -> &'a Event {
        &self.tune.events[event.index()]
    }

    /// The last fret of the neck, counted from the capo.
    pub fn last_fret(&self) -> u8 {
        self.neck.frets.saturating_sub(self.tune.header.capo)
    }

    /// The bar `event` is in.
    pub fn bar_of(&self, event: EventId) -> BarId {
        BarId(self.tune.bars.partition_point(|bar| bar.events.end <= event.0) as u32)
    }

    /// The event `note` is part of.
    pub fn event_of(&self, note: NoteId) -> EventId {
        EventId(self.tune.events.partition_point(|event| event.notes.end <= note.0) as u32)
    }

    /// The text of `note` with its marks.
    pub fn note_span(&self, note: NoteId) -> Span {
        self.source.notes[note.index()]
    }

    /// The text of `event`'s first slot: its note or its whole brush, its silence or its first hold.
    pub fn event_span(&self, event: EventId) -> Span {
        self.source.slots[self.source.events[event.index()] as usize].span
    }

    /// Where `bar` is.
    pub fn place_of_bar(&self, bar: BarId) -> Place {
        let place = &self.source.bars[bar.index()];
        let section = &self.tune.sections[place.section.index()];
        let name = &section.name;
        let section = match &section.kind {
            SectionKind::Part { .. } => format!("part {name}"),
            SectionKind::Phrase => format!("phrase {name}"),
            SectionKind::Ending { passes, .. } => {
                let passes: Vec<String> = passes.iter().map(u32::to_string).collect();
                format!("part {name}, ending {}", passes.join(","))
            }
        };
        Place { section: Some(section), bar: Some(place.number), count: None }
    }

    /// Where the moment `onset` of `bar` is, counted from the start of the bar's slots.
    pub fn place_in_bar(&self, bar: BarId, onset: Moment) -> Place {
        Place { count: Some(self.count(&self.tune.bars[bar.index()], onset)), ..self.place_of_bar(bar) }
    }

    /// Where `event` is.
    pub fn place_of_event(&self, event: EventId) -> Place {
        self.place_in_bar(self.bar_of(event), self.tune.events[event.index()].onset)
    }

    /// Where `note` is.
    pub fn place_of_note(&self, note: NoteId) -> Place {
        self.place_of_event(self.event_of(note))
    }

    /// Where the text at `at` is: the count of the slot it touches, else the bar, else nowhere.
    pub fn place_of_text(&self, at: u32) -> Place {
        let bars = &self.source.bars;
        let bar = bars.partition_point(|bar| bar.span.end < at);
        let Some(found) = bars.get(bar).filter(|bar| bar.span.touches(at)) else {
            return Place::default();
        };
        let bar = BarId(bar as u32);
        let slots = &self.source.slots[found.slots.start as usize..found.slots.end as usize];
        match slots.iter().find(|slot| slot.span.touches(at)) {
            Some(slot) => self.place_in_bar(bar, slot.onset),
            None => self.place_of_bar(bar),
        }
    }

    fn count(&self, bar: &Bar, onset: Moment) -> String {
        self.tune.frame(bar).meter.count(onset + bar.lead)
    }
}
