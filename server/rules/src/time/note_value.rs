use lope_tune::Duration;

/// The largest part of a whole note in which some lengths are all whole numbers.
pub struct NoteValue(Duration);

impl NoteValue {
    /// The value of `lengths`: the slot where it will do.
    pub fn of(slot: Duration, lengths: &[Duration]) -> Self {
        if lengths.iter().all(|length| length.is_multiple_of(slot)) {
            return Self(slot);
        }
        let finest = lengths.iter().fold(1, |common, length| least_common(common, length.denominator()));
        Self(Duration::new(1, finest))
    }

    /// How many of it `length` is.
    pub fn count(&self, length: Duration) -> i64 {
        length.divide(self.0).0
    }

    /// What `count` of it are called: `1 eighth`, `2 quarters`.
    pub fn name(&self, count: i64) -> String {
        let one = match (self.0.numerator(), self.0.denominator()) {
            (1, 1) => "whole note",
            (1, 2) => "half",
            (1, 4) => "quarter",
            (1, 8) => "eighth",
            (1, 16) => "sixteenth",
            (1, 32) => "thirty-second",
            (1, 64) => "sixty-fourth",
            (_, parts) => return format!("{parts}ths of a whole note"),
        };
        match (one, count) {
            (one, 1) => one.to_owned(),
            ("half", _) => "halves".to_owned(),
            (one, _) => format!("{one}s"),
        }
    }

    /// `length` in words: `1 eighth`.
    pub fn say(&self, length: Duration) -> String {
        let count = self.count(length);
        format!("{count} {}", self.name(count))
    }
}

/// The least number that both `a` and `b` divide; the larger of them where that is too large.
fn least_common(a: i64, b: i64) -> i64 {
    let (mut divisor, mut rest) = (a, b);
    while rest != 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    (a / divisor.max(1)).checked_mul(b).unwrap_or(a.max(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_said_in_slots_or_finer() {
        let say = |slot, lengths: &[Duration]| NoteValue::of(slot, lengths).say(lengths[0]);
        let eighth = Duration::new(1, 8);
        assert_eq!(say(eighth, &[Duration::new(5, 8), Duration::new(3, 4)]), "5 eighths");
        assert_eq!(say(eighth, &[Duration::new(1, 16), Duration::new(3, 4)]), "1 sixteenth");
        assert_eq!(say(eighth, &[Duration::new(1, 12), Duration::new(1, 8)]), "2 24ths of a whole note");
        assert_eq!(say(Duration::new(1, 2), &[Duration::new(1, 1)]), "2 halves");
    }
}
