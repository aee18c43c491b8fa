use lope_syntax::{NodeId, NodeKind, Token, TokenKind};

use super::Reader;
use crate::{
    BarContent, BarId, Duration, Event, EventId, EventKind, FINEST, IssueKind, Label, LabelKind, Moment, Run,
    SectionId, Slot,
};

/// The bar being read.
pub struct Pen {
    bar: BarId,
    at: Moment,
    run: Option<u32>,
    /// Whether the next slot is set off from the one before.
    apart: bool,
    /// Whether an event of this bar is there to be prolonged.
    begun: bool,
}

impl Reader<'_> {
    pub(super) fn slots_of_bar(&mut self, id: NodeId, section: SectionId) {
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
                NodeKind::Brush if self.is_melody() => self.misplaced_tab(child, unit, pen),
                NodeKind::Note if self.is_melody() => self.settled(child, unit, pen),
                NodeKind::Note | NodeKind::Brush => self.notes(child, node.kind, unit, pen),
                NodeKind::Pitch => self.pitch(child, unit, pen),
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
                let is_tab = self.text.as_bytes().get(span.start as usize) == Some(&b'\t');
                is_tab || span.len() > 1 || line.kind == TokenKind::LineBreak
            }
            [.., last] => last.kind == TokenKind::LineBreak,
            [] => false,
        }
    }

    /// Begins an event that lasts one slot of `unit`.
    pub(super) fn begin(
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

    pub(super) fn label(&mut self, id: NodeId, kind: NodeKind, bar: BarId, onset: Moment) {
        let text = self.tree.span(id).of(self.text);
        let text = text.get(1..text.len() - 1).unwrap_or_default().to_owned();
        let kind = if kind == NodeKind::Chord { LabelKind::Chord } else { LabelKind::Words };
        self.tune.labels.push(Label { bar, onset, kind, text });
    }
}

/// The most slots a brace may say it fills.
pub const WIDEST: u32 = 999;

pub const fn is_slot(kind: NodeKind) -> bool {
    matches!(
        kind,
        NodeKind::Note
            | NodeKind::Pitch
            | NodeKind::Brush
            | NodeKind::Brace
            | NodeKind::Hold
            | NodeKind::Silence
    )
}
