use lope_syntax::{NodeId, NodeKind, Token, TokenKind};

use super::Reader;
use super::bars::Fingered;
use super::slots::Pen;
use crate::{Duration, EventKind, Finger, How, Marks, Note};

impl Reader<'_> {
    /// Reads a note, or the notes of a brush.
    pub(super) fn notes(&mut self, id: NodeId, kind: NodeKind, unit: Duration, pen: &mut Pen) {
        let first = self.tune.notes.len() as u32;
        let before = self.voice.fingered;
        if kind == NodeKind::Note {
            self.note(id, before);
        } else {
            for note in self.tree.children(id).filter(|note| self.tree.node(*note).kind == NodeKind::Note) {
                self.note(note, before);
            }
        }
        let last = self.tune.notes.len() as u32;
        let kind = if last > first { EventKind::Notes } else { EventKind::Silence };
        self.voice.sounding = last > first;
        self.begin(kind, first..last, id, unit, pen);
    }

    fn note(&mut self, id: NodeId, before: Fingered) {
        let [head, marks @ ..] = self.tree.tokens_of(id) else { return };
        let bytes = &self.text.as_bytes()[head.span.start as usize..head.span.end as usize];
        let how = match head.kind {
            TokenKind::Thumb => How::Thumb,
            TokenKind::Hammer => How::Hammer,
            TokenKind::Pull => How::Pull,
            TokenKind::Slide => How::Slide,
            _ => How::Strike,
        };
        let (named, fret) = match string_and_fret(if how == How::Strike { bytes } else { &bytes[1..] }) {
            _ if bytes == b"t" => (Some(5), 0),
            place => place,
        };
        let string = named.unwrap_or(if let Fingered::String(string) = before { string } else { 0 });
        if how.is_slur()
            && let Fingered::After(bar) = before
        {
            self.unsettled.push((self.tune.notes.len() as u32, bar));
        }
        let alternate = how.is_slur() && named.is_some() && before != Fingered::String(string);
        if (1..=4).contains(&string) {
            self.voice.fingered = Fingered::String(string);
        } else if string == 0 && how.is_slur() {
            // It goes on where the hand was, wherever that turns out to be.
            self.voice.fingered = before;
        }
        let span = marks.last().map_or(head.span, |last| head.span.cover(last.span));
        self.source.notes.push(span);
        self.tune.notes.push(Note { string, fret, how, alternate, marks: self.marks(marks) });
    }

    fn marks(&self, tokens: &[Token]) -> Marks {
        let mut marks = Marks::default();
        for token in tokens {
            match token.kind {
                TokenKind::Accent => marks.accent = true,
                TokenKind::Vibrato => marks.vibrato = true,
                TokenKind::Choke => marks.choke = true,
                _ => {
                    marks.finger = Some(match token.span.of(self.text) {
                        "/i" => Finger::Index,
                        "/m" => Finger::Middle,
                        "/r" => Finger::Ring,
                        _ => Finger::Little,
                    });
                }
            }
        }
        marks
    }
}

/// The numbers of `2:1`, or of `1` alone; what is larger than 255 stands as 255.
fn string_and_fret(text: &[u8]) -> (Option<u8>, u8) {
    if let [string @ b'0'..=b'9', b':', fret @ b'0'..=b'9'] = text {
        return (Some(string - b'0'), fret - b'0');
    }
    let (mut string, mut number) = (None, 0_u8);
    for byte in text {
        match byte {
            b':' => string = Some(std::mem::take(&mut number)),
            digit => number = number.saturating_mul(10).saturating_add(digit.wrapping_sub(b'0')),
        }
    }
    (string, number)
}
