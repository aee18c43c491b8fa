use std::cell::OnceCell;
use std::ops::Range;

use lope_arrange::run::Passage;
use lope_rules::{Edit, Finding, Music, RuleId, apply};
use lope_syntax::{NodeId, Span, Token, TokenKind, tunes};
use lope_tune::{BarId, Duration, SectionId, Tune};

use super::heard::{Heard, heard};
use crate::{Reading, edits_between};

/// A tune with a selection in it.
pub struct Scene<'r> {
    pub reading: &'r Reading,
    pub music: Music<'r>,
    /// What is selected; empty for a cursor.
    pub selection: Span,
    /// What is heard of it, once somebody asks.
    heard: OnceCell<(Vec<Heard>, Duration)>,
}

impl<'r> Scene<'r> {
    pub fn new(reading: &'r Reading, selection: Span) -> Self {
        Self { reading, music: reading.music(), selection, heard: OnceCell::new() }
    }

    pub fn text(&self) -> &'r str {
        self.music.text
    }

    /// The bar that the start of the selection touches, its closing bar line included.
    pub fn bar(&self) -> Option<BarId> {
        let (at, places) = (self.selection.start, &self.music.source.bars);
        let begun = places.partition_point(|place| place.span.start <= at);
        let place = places[..begun].last()?;
        (at <= place.close.end.max(place.span.end)).then_some(BarId(begun as u32 - 1))
    }

    /// The bars of which something is selected.
    pub fn selected_bars(&self) -> Range<u32> {
        let (span, places) = (self.selection, &self.music.source.bars);
        let first = places.partition_point(|place| place.span.end <= span.start);
        let count = places[first..].iter().take_while(|place| place.span.start < span.end).count();
        first as u32..(first + count) as u32
    }

    /// `bars` of one section as a player calls them: `bar 3`, `bars 3 to 4`, `the pickup`. A call of a phrase of
    /// several bars stands for them all.
    pub fn name_of(&self, bars: &Range<u32>) -> String {
        let number = |bar: u32| self.music.source.bars[bar as usize].number;
        match (number(bars.start), number(bars.end - 1)) {
            (0, 0) => "the pickup".to_owned(),
            (0, last) => format!("the pickup to bar {last}"),
            (first, last) if bars.len() == 1 || last <= first => format!("bar {first}"),
            (first, last) => format!("bars {first} to {last}"),
        }
    }

    /// The section that `bar` is written in.
    pub fn section_of(&self, bar: BarId) -> SectionId {
        self.music.source.bars[bar.index()].section
    }

    /// The field called `name` above the first part: its node and the span of what it says.
    pub fn field(&self, name: &str) -> Option<(NodeId, Option<Span>)> {
        let (_, node) = self.music.source.fields.iter().find(|(known, _)| *known == name)?;
        let said = self.music.tree.token_of(*node, TokenKind::FieldText);
        Some((*node, said.map(|token| token.span)))
    }

    /// Whether the selection touches the field called `name`.
    pub fn is_at_field(&self, name: &str) -> bool {
        self.field(name).is_some_and(|(node, _)| self.touches(self.music.tree.span(node)))
    }

    /// Whether the selection touches `span`.
    pub fn touches(&self, span: Span) -> bool {
        span.start <= self.selection.end && self.selection.start <= span.end
    }

    /// The tokens that lie in `span`.
    pub fn tokens_in(&self, span: Span) -> &'r [Token] {
        let tokens = self.music.tree.tokens();
        let first = tokens.partition_point(|token| token.span.start < span.start);
        let last = tokens.partition_point(|token| token.span.end <= span.end);
        &tokens[first..last.max(first)]
    }

    /// Whether a token of `kind` lies in `span`.
    pub fn has(&self, span: Span, kind: TokenKind) -> bool {
        self.tokens_in(span).iter().any(|token| token.kind == kind)
    }

    /// The first token of `kind` that starts at or after `at`.
    pub fn next(&self, at: u32, kind: TokenKind) -> Option<Token> {
        let tokens = self.music.tree.tokens();
        let first = tokens.partition_point(|token| token.span.start < at);
        tokens[first..].iter().find(|token| token.kind == kind).copied()
    }

    /// Where the line that the byte at `at` is on ends, before its line break.
    pub fn line_end(&self, at: u32) -> u32 {
        self.next(at, TokenKind::LineBreak).map_or(self.text().len() as u32, |token| token.span.start)
    }

    /// The edit that writes `value` in the field called `name` above the first part: in the place of what it
    /// says, or on a line of its own below the field `below`, which stands above the first part as well.
    pub fn set_field(&self, name: &str, value: &str, below: &str) -> Option<Edit> {
        match self.field(name) {
            Some((_, Some(said))) => Some(Edit::replace(said, value)),
            Some((node, None)) => Some(Edit::insert(self.music.tree.span(node).end, format!(" {value}"))),
            None => {
                let (node, _) = self.field(below)?;
                let end = self.line_end(self.music.tree.span(node).end);
                Some(Edit::insert(end, format!("{}{name}: {value}", self.reading.line_break())))
            }
        }
    }

    /// `edits`, where what is heard stays as it is and so do the strokes of the hand; else the reason why not.
    /// A tune that was tidy stays tidy.
    pub fn same_music(&self, mut edits: Vec<Edit>, reason: &str) -> Result<Vec<Edit>, String> {
        edits.sort_by_key(|edit| edit.span);
        let after = self.after(&edits);
        let before = self.heard.get_or_init(|| heard(self.music.tune, self.music.hand));
        // Text that is no music may come to start a line, and with it another tune.
        if tunes(after.text()).len() > 1 || *before != heard(after.music().tune, after.music().hand) {
            return Err(reason.to_owned());
        }
        Ok(self.as_tidy(edits, after))
    }

    /// Whether `after` is the same tune but for what is in `passage`: the same parts and bars, and every other
    /// note where it was and as it was.
    pub fn is_same_around(&self, after: &Reading, passage: &Passage) -> bool {
        let (before, after) = (self.music.tune, after.tune());
        let frame = |tune: &Tune| {
            let bars = tune.bars.iter().map(|bar| (bar.frame, bar.content.clone(), bar.length, bar.lead));
            (tune.header.clone(), tune.frames.clone(), tune.sections.clone(), bars.collect::<Vec<_>>())
        };
        let around = |tune: &Tune| {
            let bars = (0..).map(BarId).zip(&tune.bars);
            let events = bars.flat_map(|(id, bar)| tune.events_of(bar).iter().map(move |event| (id, event)));
            let outside = events.filter(|(bar, event)| *bar != passage.bar || !passage.has(event.onset));
            let notes =
                outside.map(|(bar, event)| (bar, event.onset, event.kind, tune.notes_of(event).to_vec()));
            notes.collect::<Vec<_>>()
        };
        frame(before) == frame(after) && around(before) == around(after)
    }

    /// Whether the rules find nothing in `after` of a kind of which they found less before. How fast the falls
    /// come is the player's choice.
    pub fn is_no_worse(&self, after: &Reading) -> bool {
        let count = |reading: &Reading, rule: RuleId| {
            reading.findings().iter().filter(|finding| finding.rule == rule).count()
        };
        let worse = |finding: &&Finding| {
            finding.rule.rule().name != "fast-falls"
                && count(after, finding.rule) > count(self.reading, finding.rule)
        };
        !after.findings().iter().any(|finding| worse(&finding))
    }

    /// The tune with `edits` made, which are in order.
    pub fn after(&self, edits: &[Edit]) -> Reading {
        Reading::new(apply(self.text(), edits), self.reading.settings())
    }

    /// `edits`, which lead to `after`; or others that lead to the same, tidied, where the tune was tidy.
    pub fn as_tidy(&self, edits: Vec<Edit>, after: Reading) -> Vec<Edit> {
        if !self.reading.is_tidy() {
            return edits;
        }
        edits_between(self.text(), after.tidied().text(), 0)
    }
}
