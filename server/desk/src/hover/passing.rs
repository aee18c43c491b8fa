//! Time in words: what has gone by and what there is, in slots.

use lope_tune::{Bar, Duration, Frame, Moment};

/// `bar: 5 of 6 eighths`.
pub fn bar_time(bar: &Bar, frame: &Frame) -> String {
    format!("bar: {}", filled(bar.length, frame.meter.bar() - bar.lead, frame))
}

/// The time of the group that has `onset`, filled of full: `group 2: 1 of 3 eighths`. None for a group of a
/// single stroke.
pub fn group_time(bar: &Bar, frame: &Frame, onset: Moment) -> Option<String> {
    let group = frame.group(onset + bar.lead);
    let lead = Moment::START + bar.lead;
    let (from, to) = (group.start.max(lead), group.start + group.length);
    let there = (lead + bar.length).min(to) - from;
    let number = u64::from(group.number) + 1;
    (group.length > frame.gait.step()).then(|| format!("group {number}: {}", filled(there, to - from, frame)))
}

/// `5 of 6 eighths`.
pub fn filled(there: Duration, full: Duration, frame: &Frame) -> String {
    format!("{} of {}", slots(there, frame), length(full, frame))
}

/// `6 eighths`.
pub fn length(length: Duration, frame: &Frame) -> String {
    let one = length == frame.unit;
    let unit = unit_name(frame.unit);
    format!("{} {}", slots(length, frame), if one { unit.trim_end_matches('s') } else { &unit })
}

/// `length` in slots: `5`, `1/2`, `5 2/3`.
pub fn slots(length: Duration, frame: &Frame) -> String {
    let (whole, rest) = length.divide(frame.unit);
    if rest == Duration::ZERO {
        return whole.to_string();
    }
    let share = Duration::new(
        rest.numerator().saturating_mul(frame.unit.denominator()),
        rest.denominator().saturating_mul(frame.unit.numerator()),
    );
    if whole == 0 { share.to_string() } else { format!("{whole} {share}") }
}

/// What players call slots of `unit`.
pub fn unit_name(unit: Duration) -> String {
    match unit.denominator() {
        1 => "wholes".to_owned(),
        2 => "halves".to_owned(),
        4 => "quarters".to_owned(),
        8 => "eighths".to_owned(),
        16 => "sixteenths".to_owned(),
        _ => format!("slots of {unit}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_told_in_slots() {
        let frame = Frame::default();
        assert_eq!(length(Duration::new(1, 8), &frame), "1 eighth");
        assert_eq!(length(Duration::new(3, 4), &frame), "6 eighths");
        assert_eq!(filled(Duration::new(17, 24), Duration::new(1, 1), &frame), "5 2/3 of 8 eighths");
        let halves = Frame { unit: Duration::new(1, 2), ..frame };
        assert_eq!(slots(Duration::new(1, 8), &halves), "1/4");
    }
}
