//! What both hands leave behind for the slot that follows.

use std::ops::Range;

use lope_rules::Music;
use lope_tune::{BarContent, Event, EventId, EventKind, How, Pitch};

/// How many fretted notes tell where the left hand is.
const FRETS_BACK: usize = 3;

/// What the hands left behind.
#[derive(Clone, Debug, Default)]
pub struct Wake {
    /// The fret that sounds on each string; strings 1 to 5 have their own number.
    pub sounding: [Option<u8>; 6],
    /// The long string last fingered.
    pub fingered: Option<u8>,
    /// The string nearest the player's face of those last struck.
    pub struck: Option<u8>,
    /// The pitch last sounded on a long string.
    pub pitch: Option<Pitch>,
    /// The frets last fingered, the open string left out.
    frets: Vec<u8>,
}

impl Wake {
    /// What the hands leave after the bars, of whose events only those numbered below `events` are over.
    pub fn after(music: &Music, bars: &[Range<u32>], events: u32) -> Self {
        let mut wake = Self::default();
        for bar in bars.iter().cloned().flatten() {
            match &music.tune.bars[bar as usize].content {
                BarContent::Slots => wake.bar(music, bar, events),
                BarContent::Phrase { section: Some(phrase), .. } => {
                    let phrase = music.tune.sections[phrase.index()].bars.clone();
                    wake = Self::default();
                    phrase.for_each(|bar| wake.bar(music, bar, u32::MAX));
                }
                BarContent::Phrase { section: None, .. } => wake = Self::default(),
                // It leaves what the bar before it left.
                BarContent::Again => {}
            }
        }
        wake
    }

    fn bar(&mut self, music: &Music, bar: u32, events: u32) {
        let bar = &music.tune.bars[bar as usize];
        for event in bar.events.clone().take_while(|event| *event < events) {
            let event = music.event(EventId(event));
            match event.kind {
                EventKind::Notes => self.notes(music, event),
                EventKind::Silence => self.sounding = [None; 6],
                EventKind::Ring => {}
            }
        }
    }

    fn notes(&mut self, music: &Music, event: &Event) {
        let notes = music.tune.notes_of(event);
        let struck = notes.iter().filter(|note| note.how == How::Strike).map(|note| note.string);
        self.struck = struck.max().or(self.struck);
        for note in notes {
            if let Some(sounding) = self.sounding.get_mut(usize::from(note.string)) {
                *sounding = Some(note.fret);
            }
            if !(1..=4).contains(&note.string) {
                continue;
            }
            self.fingered = Some(note.string);
            let header = &music.tune.header;
            self.pitch = header.tuning.sounds(note.string, note.fret, header.capo).or(self.pitch);
            self.frets.extend((note.fret > 0).then_some(note.fret));
        }
    }

    /// The lowest and the highest of the frets that the left hand fingered last.
    pub fn held(&self) -> Option<Range<u8>> {
        let last = &self.frets[self.frets.len().saturating_sub(FRETS_BACK)..];
        Some(*last.iter().min()?..*last.iter().max()?)
    }
}
