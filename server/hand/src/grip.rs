use lope_tune::{Neck, Note};

/// What the left hand holds at one moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Grip {
    /// The lowest held fret, from the nut or the capo.
    pub low: u8,
    /// The highest held fret, from the nut or the capo.
    pub high: u8,
    /// The fingers it takes.
    pub fingers: u8,
}

impl Grip {
    /// What it takes to hold `notes` at once; none where all are open.
    ///
    /// One finger lies across every string at the lowest fret, unless an open string between them has to
    /// sound: then each takes a finger of its own. Common practice.
    pub fn of(notes: &[Note]) -> Option<Self> {
        let held = || notes.iter().filter(|note| note.fret > 0);
        let low = held().map(|note| note.fret).min()?;
        let high = held().map(|note| note.fret).max()?;
        let at_low = || held().filter(|note| note.fret == low);
        let across = at_low().map(|note| note.string).min()?..=at_low().map(|note| note.string).max()?;
        let opens_between = notes.iter().any(|note| note.fret == 0 && across.contains(&note.string));
        let lowest = if opens_between { at_low().count() } else { 1 };
        let fingers = lowest + held().filter(|note| note.fret > low).count();
        Some(Self { low, high, fingers: u8::try_from(fingers).unwrap_or(u8::MAX) })
    }

    /// What it takes to slur from fret `from` to `to`: a finger on each that is not open. A slide takes one
    /// finger along, which is no reach.
    pub fn of_slur(from: u8, to: u8) -> Option<Self> {
        let (low, high) = (from.min(to), from.max(to));
        match (low, high) {
            (_, 0) => None,
            (0, _) => Some(Self { low: high, high, fingers: 1 }),
            _ => Some(Self { low, high, fingers: if low == high { 1 } else { 2 } }),
        }
    }

    /// The distance between its lowest and highest fret on `neck` behind a capo at fret `capo` (0 for
    /// none), in millimetres.
    pub fn reach_mm(&self, neck: &Neck, capo: u8) -> f64 {
        neck.reach_mm(self.low.saturating_add(capo), self.high.saturating_add(capo))
    }
}

#[cfg(test)]
mod tests {
    use lope_tune::{How, Marks};

    use super::*;

    fn fingers(notes: &[(u8, u8)]) -> u8 {
        let note = |&(string, fret)| Note {
            string,
            fret,
            how: How::Strike,
            alternate: false,
            marks: Marks::default(),
        };
        Grip::of(&notes.iter().map(note).collect::<Vec<_>>()).map_or(0, |grip| grip.fingers)
    }

    #[test]
    fn one_finger_lies_across_the_lowest_fret() {
        assert_eq!(fingers(&[(1, 0), (2, 0)]), 0);
        assert_eq!(fingers(&[(1, 5), (2, 5), (3, 5), (4, 5)]), 1);
        assert_eq!(fingers(&[(1, 5), (2, 5), (3, 6), (4, 7)]), 3);
        assert_eq!(fingers(&[(1, 2), (2, 0), (3, 2)]), 2, "the open string between has to sound");
        assert_eq!(fingers(&[(1, 2), (2, 2), (3, 0)]), 1);
        assert_eq!(fingers(&[(1, 9), (2, 8), (3, 7), (4, 6), (5, 10)]), 5);
    }

    #[test]
    fn a_slur_holds_both_its_frets() {
        assert_eq!(Grip::of_slur(2, 7), Some(Grip { low: 2, high: 7, fingers: 2 }));
        assert_eq!(Grip::of_slur(4, 0), Some(Grip { low: 4, high: 4, fingers: 1 }));
        assert_eq!(Grip::of_slur(0, 0), None);
    }

    /// 26.25 in times 2^(-2/12) - 2^(-7/12), and nearer together further up. Equal temperament.
    #[test]
    fn reach_is_a_length_on_the_neck() {
        let grip = Grip { low: 2, high: 7, fingers: 2 };
        let neck = Neck::default();
        assert!((grip.reach_mm(&neck, 0) - 149.00).abs() < 0.01, "{}", grip.reach_mm(&neck, 0));
        assert!((grip.reach_mm(&neck, 5) - 149.00 * (-5.0_f64 / 12.0).exp2()).abs() < 0.01);
    }
}
