use lope_tune::{BarId, Reading};

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

    /// Whether what starts at the byte `at` is heard where a group begins: a slot, a brace with its first
    /// slot, a label with the slot below it.
    pub fn begins_group(&mut self, at: u32) -> bool {
        let (tune, source) = (&self.reading.tune, &self.reading.source);
        while source.slots.get(self.slot).is_some_and(|slot| slot.span.start < at) {
            self.slot += 1;
        }
        let Some(slot) = source.slots.get(self.slot) else { return false };
        if self.bar == 0 || source.bars[self.bar].slots.end as usize <= self.slot {
            self.bar = source.bars.partition_point(|bar| bar.slots.end as usize <= self.slot);
        }
        let bar = &tune.bars[BarId(self.bar as u32).index()];
        // A label at the end of a bar has no slot below it: what comes next is another bar's.
        if source.bars[self.bar].span.start > at {
            return false;
        }
        let place = slot.onset + bar.lead;
        tune.frame(bar).group(place).start == place
    }
}
