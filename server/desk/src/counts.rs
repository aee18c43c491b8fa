use std::ops::RangeInclusive;

use lope_syntax::Span;
use lope_tune::{BarId, Moment};

use crate::Reading;

impl Reading {
    /// From the first to the last slot of `bar` that begins in `counts`, as a player counts aloud from 1; none
    /// where no slot does.
    pub fn span_of_counts(&self, bar: BarId, counts: RangeInclusive<u32>) -> Option<Span> {
        let written = &self.tune().bars[bar.index()];
        let counted = self.tune().frame(written).meter.counted();
        let from = Moment::START + counted.times(counts.start().saturating_sub(1));
        let to = Moment::START + counted.times(*counts.end());
        let source = &self.written().source;
        let slots = source.bars[bar.index()].slots.clone();
        let slots = &source.slots[slots.start as usize..slots.end as usize];
        let begins = |slot: &&lope_tune::Slot| (from..to).contains(&(slot.onset + written.lead));
        let mut spans = slots.iter().filter(begins).map(|slot| slot.span);
        let first = spans.next()?;
        Some(spans.next_back().map_or(first, |last| first.cover(last)))
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    #[test]
    fn counts_are_those_a_player_says() {
        let reading = Reading::new(
            "tune: T\nmeter: 4/4\npart A\n3:0 3:0 | 2:0 t {1:0 1:2 1:0}/2 3:0 t 2:0- |\n",
            &Arc::default(),
        );
        let text =
            |bar, counts| reading.span_of_counts(BarId(bar), counts).map(|span| span.of(reading.text()));
        assert_eq!(text(1, 1..=1), Some("2:0 t"));
        assert_eq!(text(1, 2..=3), Some("1:0 1:2 1:0}/2 3:0 t"));
        assert_eq!(text(0, 4..=4), Some("3:0 3:0"));
        assert_eq!(text(0, 1..=3), None);
    }
}
