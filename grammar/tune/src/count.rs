use crate::{Duration, Meter, Moment};

impl Meter {
    /// The time from one numbered count to the next: in meters over 8 and finer the meter's lower number, else
    /// a quarter. Common practice.
    pub const fn counted(self) -> Duration {
        Duration::new(1, if self.unit >= 8 { self.unit as i64 } else { 4 })
    }

    /// The count at `at`, from the start of a whole bar, as a player says it aloud: `3` in a jig, `2 &` in
    /// a reel, `1 e` in 2/4; `after 3` where nothing is said. Common practice.
    pub fn count(self, at: Moment) -> String {
        let counted = self.counted().denominator();
        let (beat, rest) = at.since_start().divide(self.counted());
        let beat = beat + 1;
        // A quarter is split in four: e, &, a. Finer counts have no syllables of their own.
        match (rest.numerator(), rest.denominator()) {
            (0, _) => beat.to_string(),
            (1, 8) if counted == 4 => format!("{beat} &"),
            (1, 16) if counted == 4 => format!("{beat} e"),
            (3, 16) if counted == 4 => format!("{beat} a"),
            _ if counted == 4 && rest > Duration::new(1, 8) => format!("after {beat} &"),
            _ => format!("after {beat}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::{Duration, Meter, Moment};

    fn counts(beats: u32, unit: u32, slot: Duration, slots: u32) -> String {
        let meter = Meter { beats, unit };
        (0..slots).map(|at| meter.count(Moment::START + slot.times(at))).collect::<Vec<_>>().join(", ")
    }

    #[test]
    fn bars_are_counted_as_players_count_them() {
        assert_eq!(counts(6, 8, Duration::new(1, 8), 6), "1, 2, 3, 4, 5, 6");
        assert_eq!(counts(4, 4, Duration::new(1, 8), 8), "1, 1 &, 2, 2 &, 3, 3 &, 4, 4 &");
        assert_eq!(counts(2, 4, Duration::new(1, 16), 8), "1, 1 e, 1 &, 1 a, 2, 2 e, 2 &, 2 a");
        assert_eq!(counts(2, 2, Duration::new(1, 8), 4), "1, 1 &, 2, 2 &");
        assert_eq!(counts(6, 8, Duration::new(1, 12), 3), "1, after 1, after 2");
        assert_eq!(counts(4, 4, Duration::new(1, 12), 4), "1, after 1, after 1 &, 2");
    }
}
