use lope_tune::{BarContent, BarId, Moment, Tune};

use crate::pace::Pace;
use crate::{Hand, runs};

impl Hand {
    /// How often the gait falls in the slots of `bar`, in its runs as these have it; never in a bar that
    /// repeats or calls others.
    pub fn falls(&self, tune: &Tune, bar: BarId) -> usize {
        self.falls_at(tune, bar).len()
    }

    /// When it falls there, in order, from the start of the bar's slots.
    pub fn falls_at(&self, tune: &Tune, bar: BarId) -> Vec<Moment> {
        let written = &tune.bars[bar.index()];
        match written.content {
            BarContent::Slots => {
                runs::falls(written, &Pace::new(tune.frame(written)), runs::of_bar(tune, bar))
            }
            BarContent::Again | BarContent::Phrase { .. } => Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::read;
    use crate::tests::in_meter;

    use super::*;

    #[track_caller]
    fn check(meter: &str, music: &str, expected: &[usize]) {
        let tune = in_meter(meter, music);
        let hand = read(&tune);
        let falls = (0..tune.bars.len() as u32).map(|bar| hand.falls(&tune, BarId(bar)));
        assert_eq!(falls.collect::<Vec<_>>(), expected);
    }

    #[test]
    fn the_hand_falls_as_its_gait_has_it() {
        check("6/8", "1:0 | 3:0- - 2:0- - | % | 3:0 t |", &[1, 4, 0, 1]);
        check("4/4", "| 3:0 t 3:0 t  3:0 t 3:0 t | {3:0 t 3:0}/2 3:0 t {3:0 t 3:0 3:0 t 3:0}/4 |", &[4, 7]);
    }
}
