use lope_syntax::{NodeId, NodeKind, TokenKind};

use super::bars::Fingered;
use super::slots::Pen;
use super::{Reader, Reading};
use crate::{Duration, EventKind, IssueKind, MelodyPart, Pitch, natural};

impl Reader<'_> {
    /// Reads the melody `id` by a reader of its own: it starts in the time that is in force here, and leaves
    /// it as it is.
    pub(super) fn melody(&mut self, id: NodeId) {
        let mut inner = Reader::new(self.text, self.tree, 0);
        inner.pitches = Some(Vec::new());
        inner.tune.header = self.tune.header.clone();
        inner.given = self.given.clone();
        inner.set_frame();
        inner.section(id, NodeKind::Part);
        inner.settle_numbers();
        self.issues.append(&mut inner.issues);
        let Reader { tune, source, pitches, .. } = inner;
        let melody = MelodyPart { tune, source, pitches: pitches.unwrap_or_default() };
        let is_taken = self.melodies.iter().any(|other| other.name() == melody.name());
        if is_taken && let Some((name, span)) = self.token_text(id, TokenKind::Name) {
            self.bad_value(
                "melody",
                name,
                format!("a name of its own: there is a melody {name} above"),
                span,
            );
        }
        self.melodies.push(melody);
    }

    /// Whether a melody is read.
    pub(super) const fn is_melody(&self) -> bool {
        self.pitches.is_some()
    }

    /// Reads a pitch, which only a melody has: in tab it is a silence, and reported.
    pub(super) fn pitch(&mut self, id: NodeId, unit: Duration, pen: &mut Pen) {
        let span = self.tree.span(id);
        let pitch = pitch(span.of(self.text));
        let event = self.tune.events.len();
        let none = self.tune.notes.len() as u32;
        let sounds = self.is_melody() && pitch.is_some();
        self.voice.sounding = sounds;
        if sounds {
            // Nobody has said which string it is on.
            self.voice.fingered = Fingered::Nothing;
        }
        self.begin(if sounds { EventKind::Notes } else { EventKind::Silence }, none..none, id, unit, pen);
        match &mut self.pitches {
            None => self.issue(IssueKind::PitchInTab, span),
            Some(_) if pitch.is_none() => self.issue(IssueKind::NoSuchPitch, span),
            Some(pitches) => {
                pitches.resize(event, None);
                pitches.push(pitch);
            }
        }
    }

    /// Reads a note of tab in a melody, which says how that note is played.
    pub(super) fn settled(&mut self, id: NodeId, unit: Duration, pen: &mut Pen) {
        let next = self.tune.notes.len();
        self.notes(id, NodeKind::Note, unit, pen);
        let Some(note) = self.tune.notes.get(next) else { return };
        let sounds = self.tune.header.tuning.sounds(note.string, note.fret, 0).is_some();
        if note.string == 0 && note.how.is_slur() {
            self.issue(IssueKind::SlurOfPitch, self.tree.span(id));
        } else if !sounds {
            self.issue(IssueKind::NoSuchPlace, self.tree.span(id));
        }
    }

    /// Reads a brush in a melody: a silence, and reported.
    pub(super) fn misplaced_tab(&mut self, id: NodeId, unit: Duration, pen: &mut Pen) {
        self.issue(IssueKind::TabInMelody, self.tree.span(id));
        let none = self.tune.notes.len() as u32;
        self.voice.sounding = false;
        self.begin(EventKind::Silence, none..none, id, unit, pen);
    }
}

/// Reads `f#4`; none beyond what MIDI has numbers for.
fn pitch(text: &str) -> Option<Pitch> {
    let mut letters = text.chars();
    let natural = natural(letters.next()?.to_ascii_uppercase())?;
    let rest = letters.as_str();
    let (bent, octave) = match rest.as_bytes() {
        [b'#', ..] => (1, &rest[1..]),
        [b'b', ..] => (-1, &rest[1..]),
        _ => (0, rest),
    };
    // Middle C, 60, begins octave 4.
    let key = octave.parse::<i32>().ok()?.checked_mul(12)?.checked_add(12 + i32::from(natural) + bent)?;
    u8::try_from(key).ok().filter(|key| *key < 128).map(Pitch)
}

impl Reading {
    /// The melody that has the byte at `at`, from its heading to its last token.
    pub fn melody_at(&self, at: u32) -> Option<&MelodyPart> {
        self.melodies.iter().find(|melody| melody.whole().touches(at))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn octaves_begin_at_c() {
        assert_eq!(pitch("c4"), Some(Pitch(60)));
        assert_eq!(pitch("B3"), Some(Pitch(59)));
        assert_eq!(pitch("cb4"), Some(Pitch(59)));
        assert_eq!(pitch("f#4"), Some(Pitch(66)));
        assert_eq!(pitch("bb4"), Some(Pitch(70)));
        assert_eq!(pitch("g9"), Some(Pitch(127)));
        assert_eq!(pitch("g#9"), None);
        assert_eq!(pitch("c99999999999"), None);
    }
}
