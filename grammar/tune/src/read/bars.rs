use lope_syntax::{NodeId, NodeKind, Span, Token, TokenKind};

use super::Reader;
use crate::{
    Bar, BarContent, BarId, BarPlace, Duration, Event, EventId, EventKind, FINEST, Finger, How, IssueKind,
    Label, LabelKind, Marks, Moment, Note, Run, SectionId, SectionKind, Slot,
};

/// The string a left hand was last busy on.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Fingered {
    /// None yet.
    #[default]
    Nothing,
    /// This one.
    String(u8),
    /// Whichever the phrase called in this bar leaves: it stands further down.
    After(u32),
}

/// What the music before a place leaves to it.
#[derive(Clone, Copy, Debug, Default)]
pub struct Voice {
    pub fingered: Fingered,
    /// Whether something sounds that a hold could prolong.
    pub sounding: bool,
    /// Whether there is a bar that `%` could repeat.
    pub bar_before: bool,
}

impl Voice {
    /// At the start of a phrase anything may have come before.
    pub const UNKNOWN: Self = Self { fingered: Fingered::Nothing, sounding: true, bar_before: true };
}

/// The bar being read.
struct Pen {
    bar: BarId,
    at: Moment,
    run: Option<u32>,
    /// Whether the next slot is set off from the one before.
    apart: bool,
    /// Whether an event of this bar is there to be prolonged.
    begun: bool,
}

impl Reader<'_> {
    /// Reads a bar of `section`: one of slots, one that repeats, or as many as phrases are called.
    pub(super) fn bar(&mut self, id: NodeId, section: SectionId) {
        let tree = self.tree;
        let kinds = || tree.children(id).map(|child| tree.node(child).kind);
        if kinds().any(is_slot) || !kinds().any(is_repeat) {
            self.slots_of_bar(id, section);
        } else {
            self.repeats(id, section);
        }
        self.voice.bar_before = true;
    }

    /// Reads `%`, or as many bars as phrases are called. Words and chord symbols stand above the one they
    /// are written before, or above the last.
    fn repeats(&mut self, id: NodeId, section: SectionId) {
        let tree = self.tree;
        let mut left = tree.children(id).filter(|child| is_repeat(tree.node(*child).kind)).count();
        for child in tree.children(id) {
            match tree.node(child).kind {
                NodeKind::PhraseCall => self.call(child, id, section),
                NodeKind::BarAgain => self.again(id, section),
                NodeKind::Field => self.change(child),
                kind @ (NodeKind::Words | NodeKind::Chord) => {
                    let bar = self.tune.bars.len() as u32 - u32::from(left == 0);
                    self.label(child, kind, BarId(bar), Moment::START);
                }
                _ => {}
            }
            left -= usize::from(is_repeat(tree.node(child).kind));
        }
    }

    fn again(&mut self, bar: NodeId, section: SectionId) {
        if !self.voice.bar_before {
            self.issue(IssueKind::NothingToRepeat, self.tree.span(bar));
        }
        self.push_bar(BarContent::Again, bar, section);
    }

    fn push_bar(&mut self, content: BarContent, id: NodeId, section: SectionId) -> BarId {
        let (events, slots) = (self.tune.events.len() as u32, self.source.slots.len() as u32);
        let span = self.written(id);
        self.tune.bars.push(Bar {
            frame: self.frame,
            content,
            events: events..events,
            length: Duration::ZERO,
            lead: Duration::ZERO,
        });
        let close = self.close_of(id, span);
        self.source.bars.push(BarPlace { span, close, section, number: 0, slots: slots..slots });
        BarId(self.tune.bars.len() as u32 - 1)
    }

    /// What is written in the bar `id`, less the fields that end it: they are about the next one.
    fn written(&self, id: NodeId) -> Span {
        let span = self.tree.span(id);
        let ends_in_field = self.tree.tokens_of(id).last().is_some_and(|token| {
            matches!(token.kind, TokenKind::FieldName | TokenKind::Colon | TokenKind::FieldText)
        });
        if !ends_in_field {
            return span;
        }
        let slots = self.tree.children(id).filter(|child| self.tree.node(*child).kind != NodeKind::Field);
        slots.last().map_or(span, |last| Span::new(span.start, self.tree.span(last).end))
    }

    /// The bar line that closes the bar `id`; an empty span after it where there is none.
    fn close_of(&self, id: NodeId, span: Span) -> Span {
        let node = self.tree.node(id);
        let next = self.tree.tokens()[node.last as usize..].iter().find(|token| !token.kind.is_trivia());
        match next {
            Some(Token { kind: TokenKind::BarLine, span }) => *span,
            _ => Span::empty(span.end),
        }
    }

    fn call(&mut self, id: NodeId, bar: NodeId, section: SectionId) {
        let name = self.tree.span(id).of(self.text).trim_start_matches('@').to_owned();
        let bar = self.push_bar(BarContent::Phrase { name: name.clone(), section: None }, bar, section);
        self.source.bars[bar.index()].span = self.tree.span(id);
        let above = self
            .tune
            .sections
            .iter()
            .position(|section| section.kind == SectionKind::Phrase && section.name == name);
        let below = Voice { fingered: Fingered::After(bar.0), sounding: true, bar_before: true };
        let after = above.and_then(|at| self.after.get(at)).copied().unwrap_or(below);
        let in_phrase = self.tune.sections[section.index()].kind == SectionKind::Phrase;
        let fingered = match after.fingered {
            Fingered::Nothing => self.voice.fingered,
            // In a phrase even a call of one above may yet turn out to close a circle, and to call nothing.
            Fingered::String(string) if !in_phrase => Fingered::String(string),
            _ => {
                self.before.push((bar.0, self.voice.fingered));
                Fingered::After(bar.0)
            }
        };
        self.voice = Voice { fingered, ..after };
    }

    fn slots_of_bar(&mut self, id: NodeId, section: SectionId) {
        let bar = self.push_bar(BarContent::Slots, id, section);
        let unit = self.tune.frames[self.frame as usize].unit;
        let mut pen = Pen { bar, at: Moment::START, run: None, apart: true, begun: false };
        self.slots(id, unit, &mut pen);
        let (events, slots) = (self.tune.events.len() as u32, self.source.slots.len() as u32);
        self.source.bars[bar.index()].slots.end = slots;
        let written = &mut self.tune.bars[bar.index()];
        written.events.end = events;
        written.length = pen.at.since_start();
    }

    /// Reads the slots straight below `id`, each `unit` long.
    fn slots(&mut self, id: NodeId, unit: Duration, pen: &mut Pen) {
        let tree = self.tree;
        for child in tree.children(id) {
            let node = tree.node(child);
            match node.kind {
                NodeKind::Field => {
                    self.change(child);
                    continue;
                }
                NodeKind::Error | NodeKind::BarAgain | NodeKind::PhraseCall => continue,
                _ => {}
            }
            pen.apart |= self.is_apart(node.first);
            match node.kind {
                NodeKind::Note | NodeKind::Brush => self.notes(child, node.kind, unit, pen),
                NodeKind::Hold => self.hold(child, unit, pen),
                NodeKind::Silence => {
                    self.voice.sounding = false;
                    let none = self.tune.notes.len() as u32;
                    self.begin(EventKind::Silence, none..none, child, unit, pen);
                }
                NodeKind::Brace => self.brace(child, unit, pen),
                kind => self.label(child, kind, pen.bar, pen.at),
            }
        }
    }

    /// Whether two blanks, a tab or a line break stand before the token numbered `first`.
    fn is_apart(&self, first: u32) -> bool {
        let before = &self.tree.tokens()[..first as usize];
        match before {
            [.., line, Token { kind: TokenKind::Blank, span }] => {
                span.len() > 1 || line.kind == TokenKind::LineBreak || span.of(self.text) == "\t"
            }
            [.., last] => last.kind == TokenKind::LineBreak,
            [] => false,
        }
    }

    /// Begins an event that lasts one slot of `unit`.
    fn begin(
        &mut self,
        kind: EventKind,
        notes: std::ops::Range<u32>,
        id: NodeId,
        unit: Duration,
        pen: &mut Pen,
    ) {
        let event = EventId(self.tune.events.len() as u32);
        self.source.events.push(self.source.slots.len() as u32);
        let onset = pen.at;
        let length = self.slot(event, id, unit, pen);
        self.tune.events.push(Event { onset, length, kind, notes, run: pen.run });
        pen.begun = true;
    }

    /// Gives `event` the next slot, of `unit`; answers how long that is.
    fn slot(&mut self, event: EventId, id: NodeId, unit: Duration, pen: &mut Pen) -> Duration {
        let (span, onset, apart) = (self.tree.span(id), pen.at, std::mem::take(&mut pen.apart));
        let length = match onset.exactly_after(unit) {
            Some(next) => {
                pen.at = next;
                unit
            }
            None => {
                self.issue(IssueKind::TooFine, span);
                Duration::ZERO
            }
        };
        self.source.slots.push(Slot { span, onset, length, event, apart });
        length
    }

    fn hold(&mut self, id: NodeId, unit: Duration, pen: &mut Pen) {
        if !self.voice.sounding {
            self.issue(IssueKind::NothingToHold, self.tree.span(id));
        }
        if pen.begun {
            let last = EventId(self.tune.events.len() as u32 - 1);
            self.slot(last, id, unit, pen);
            let event = &mut self.tune.events[last.index()];
            event.length = pen.at - event.onset;
        } else {
            let none = self.tune.notes.len() as u32;
            self.begin(EventKind::Ring, none..none, id, unit, pen);
        }
    }

    /// Reads `{a b}/n`: its contents share `n` slots of `unit` evenly.
    fn brace(&mut self, id: NodeId, unit: Duration, pen: &mut Pen) {
        let slots = self.tree.children(id).map(|child| self.width(child)).sum::<u32>();
        if slots == 0 {
            return;
        }
        let over = self.over(id, true);
        let mut share = unit.times(over).share(slots);
        if share.denominator() > FINEST {
            self.issue(IssueKind::TooFine, self.tree.span(id));
            share = Duration::ZERO;
        }
        let outer = pen.run;
        if matches!(slots, 3 | 6 | 9 | 12) {
            pen.run = Some(self.tune.runs.len() as u32);
            self.tune.runs.push(Run { bar: pen.bar, start: pen.at, slot: share, slots });
        }
        self.slots(id, share, pen);
        pen.run = outer;
    }

    /// How many of the slots around it `id` takes: none where it is a brace without slots.
    fn width(&mut self, id: NodeId) -> u32 {
        let node = self.tree.node(id);
        match node.kind {
            NodeKind::Brace => {
                let inside = &self.tree.nodes()[id.0 as usize + 1..node.after as usize];
                let takes_time = |kind| is_slot(kind) && kind != NodeKind::Brace;
                if inside.iter().any(|node| takes_time(node.kind)) { self.over(id, false) } else { 0 }
            }
            kind => u32::from(is_slot(kind)),
        }
    }

    /// How many slots the brace `id` takes: 1 where it does not say.
    fn over(&mut self, id: NodeId, report: bool) -> u32 {
        let [.., Token { kind: TokenKind::Over, span }] = self.tree.tokens_of(id) else { return 1 };
        let text = span.of(self.text);
        let over = text[1..].parse().ok().filter(|over| (1..=WIDEST).contains(over));
        if over.is_none() && report {
            self.bad_value("brace", text, format!("how many slots it fills, from /1 to /{WIDEST}"), *span);
        }
        over.unwrap_or(1)
    }

    fn label(&mut self, id: NodeId, kind: NodeKind, bar: BarId, onset: Moment) {
        let text = self.tree.span(id).of(self.text);
        let text = text.get(1..text.len() - 1).unwrap_or_default().to_owned();
        let kind = if kind == NodeKind::Chord { LabelKind::Chord } else { LabelKind::Words };
        self.tune.labels.push(Label { bar, onset, kind, text });
    }

    /// Reads a note, or the notes of a brush.
    fn notes(&mut self, id: NodeId, kind: NodeKind, unit: Duration, pen: &mut Pen) {
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

/// The most slots a brace may say it fills.
pub const WIDEST: u32 = 999;

const fn is_slot(kind: NodeKind) -> bool {
    matches!(kind, NodeKind::Note | NodeKind::Brush | NodeKind::Brace | NodeKind::Hold | NodeKind::Silence)
}

const fn is_repeat(kind: NodeKind) -> bool {
    matches!(kind, NodeKind::PhraseCall | NodeKind::BarAgain)
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
