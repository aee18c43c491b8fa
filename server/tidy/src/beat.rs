use lope_syntax::{Token, TokenKind};
use lope_tune::{Bar, Reading, Slot, Source, Tune};

/// Walks along the slots of a tune and tells which begin a group. Places must come in the order of the text.
pub struct Beat<'r> {
    tune: &'r Tune,
    source: &'r Source,
    slot: usize,
    bar: usize,
}

impl<'r> Beat<'r> {
    /// At the first slot of `reading`, or of the melody of it that has the byte `at`, that starts there or after.
    pub fn new(reading: &'r Reading, at: u32) -> Self {
        let melody = reading.melody_at(at).map(|melody| (&melody.tune, &melody.source));
        let (tune, source) = melody.unwrap_or((&reading.tune, &reading.source));
        let slot = source.slots.partition_point(|slot| slot.span.start < at);
        Self { tune, source, slot, bar: 0 }
    }

    /// Whether what starts with `token` is heard where a group of its bar begins: a slot, a brace with its
    /// first slot, a label with the slot below it.
    pub fn begins_group(&mut self, token: &Token) -> bool {
        let Some((slot, bar)) = self.slot_of(token) else { return false };
        let place = slot.onset + bar.lead;
        self.tune.frame(bar).group(place).start == place
    }

    /// Whether what starts with `token` begins a group of three in a run, and not its first.
    pub fn begins_three(&mut self, token: &Token) -> bool {
        let Some((slot, _)) = self.slot_of(token) else { return false };
        let tune = self.tune;
        let run = tune.events[slot.event.index()].run.and_then(|run| tune.runs.get(run as usize));
        run.is_some_and(|run| run.begins_three(slot.onset))
    }

    /// The slot that starts with `token`, or the next where that is a brace or a label, and its bar. Of a
    /// brush only the whole is a slot.
    fn slot_of(&mut self, token: &Token) -> Option<(&'r Slot, &'r Bar)> {
        let Self { tune, source, .. } = *self;
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
