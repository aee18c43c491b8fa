use lope_syntax::{NodeId, NodeKind, Span, Token, TokenKind};

use super::Reader;
use super::slots::is_slot;
use crate::{Bar, BarContent, BarId, BarPlace, Duration, IssueKind, Moment, SectionId, SectionKind};

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
                NodeKind::PhraseCall if self.is_melody() => {
                    self.issue(IssueKind::TabInMelody, tree.span(child));
                    self.push_bar(BarContent::Slots, id, section);
                }
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

    pub(super) fn push_bar(&mut self, content: BarContent, id: NodeId, section: SectionId) -> BarId {
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
}

const fn is_repeat(kind: NodeKind) -> bool {
    matches!(kind, NodeKind::PhraseCall | NodeKind::BarAgain)
}
