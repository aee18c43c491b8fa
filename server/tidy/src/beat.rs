use lope_syntax::{Token, TokenKind};
use lope_tune::{Bar, Reading, Slot};

/// Walks along the slots of a tune and tells which begin a group. Places must come in the order of the text.
pub struct Beat<'r> {
    reading: &'r Reading,
    slot: usize,
    bar: usize,
}

impl<'r> Beat<'r> {
    /// At the first slot of `reading` that starts at the byte `at` or after it.
    pub fn new(reading: &'r Reading, at: u32) -> Self {
        let slot = reading.source.slots.partition_point(|slot| slot.span.start < at);
        Self { reading, slot, bar: 0 }
    }

    /// Whether what starts with `token` is heard where a group of its bar begins: a slot, a brace with its
    /// first slot, a label with the slot below it.
    pub fn begins_group(&mut self, token: &Token) -> bool {
        let Some((slot, bar)) = self.slot_of(token) else { return false };
        let place = slot.onset + bar.lead;
        self.reading.tune.frame(bar).group(place).start == place
    }

    /// Whether what starts with `token` begins a group of three in a run, and not its first.
    pub fn begins_three(&mut self, token: &Token) -> bool {
        let Some((slot, _)) = self.slot_of(token) else { return false };
        let tune = &self.reading.tune;
        let run = tune.events[slot.event.index()].run.and_then(|run| tune.runs.get(run as usize));
        run.is_some_and(|run| run.begins_three(slot.onset))
    }

    /// The slot that starts with `token`, or the next where that is a brace or a label, and its bar. Of a
    /// brush only the whole is a slot.
    fn slot_of(&mut self, token: &Token) -> Option<(&'r Slot, &'r Bar)> {
        let Reading { tune, source, .. } = self.reading;
        let at = token.span.start;
        while source.slots.get(self.slot)?.span.start < at {
            self.slot += 1;
        }
        if source.bars.get(self.bar).is_none_or(|bar| !bar.slots.contains(&(self.slot as u32))) {
            self.bar = source.bars.partition_point(|bar| bar.slots.end as usize <= self.slot);
        }
        let slot = &source.slots[self.slot];
        let is_above = matches!(token.kind, TokenKind::BraceOpen | TokenKind::Words | TokenKind::Chord);
        // A label at the end of a bar has no slot below it: what comes next is another bar's.
        let inside = source.bars.get(self.bar)?.span.start <= at;
        (inside && (is_above || slot.span.start == at)).then(|| (slot, &tune.bars[self.bar]))
    }
}
