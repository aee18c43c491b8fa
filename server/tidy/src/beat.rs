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

    /// Whether what starts at the byte `at` is heard where a group of its bar begins: a slot, a brace with
    /// its first slot, a label with the slot below it.
    pub fn begins_group(&mut self, at: u32) -> bool {
        let Some((slot, bar)) = self.slot_at(at) else { return false };
        let place = slot.onset + bar.lead;
        self.reading.tune.frame(bar).group(place).start == place
    }

    /// Whether what starts at the byte `at` begins a group of three in a run, and not its first.
    pub fn begins_three(&mut self, at: u32) -> bool {
        let Some((slot, _)) = self.slot_at(at) else { return false };
        let tune = &self.reading.tune;
        let Some(run) = tune.events[slot.event.index()].run.and_then(|run| tune.runs.get(run as usize))
        else {
            return false;
        };
        let since = slot.onset - run.start;
        since.is_positive() && since.is_multiple_of(run.slot.times(3))
    }

    /// The slot that starts at the byte `at`, or the next below a label there, and its bar.
    fn slot_at(&mut self, at: u32) -> Option<(&'r Slot, &'r Bar)> {
        let Reading { tune, source, .. } = self.reading;
        while source.slots.get(self.slot)?.span.start < at {
            self.slot += 1;
        }
        if source.bars.get(self.bar).is_none_or(|bar| !bar.slots.contains(&(self.slot as u32))) {
            self.bar = source.bars.partition_point(|bar| bar.slots.end as usize <= self.slot);
        }
        // A label at the end of a bar has no slot below it: what comes next is another bar's.
        let inside = source.bars.get(self.bar)?.span.start <= at;
        inside.then(|| (&source.slots[self.slot], &tune.bars[self.bar]))
    }
}
