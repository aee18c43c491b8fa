use lope_tune::BarId;

use super::fill::Bars;
use super::note_value::NoteValue;
use crate::registry::no_mends;
use crate::{Example, Family, Level, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "pickup-unpaid",
    level: Some(Level::Hint),
    family: Family::Time,
    page: Page {
        finds: "Where one part follows another in playing, a last bar and a pickup that together are not \
                one bar.",
        why: "A pickup borrows its time from the bar before it: a part with a pickup of one eighth ends one \
              eighth early, and so does whatever is played before it. Otherwise dancers get a beat too \
              many at every turn. Where a part is followed by one with a pickup and by one without, give \
              it two endings.",
        example: Example {
            bad: "\
tune: One Foot Ashore
meter: 6/8

part A x2
1:0 | 3:0 t 2:0  1:0 t 2:0 | 2:1 t 1:2  1:0- - |
",
            good: "\
tune: One Foot Ashore
meter: 6/8

part A x2
1:0 | 3:0 t 2:0  1:0 t 2:0 | 2:1 t 1:2  1:0- |
",
        },
        mend: "",
    },
    check: Some(check),
    mends: no_mends,
};

fn check(music: &Music, report: &mut Report) {
    let tune = music.tune;
    // Without a pickup whatever is wrong with a last bar is wrong with it alone.
    if !tune.bars.iter().any(|bar| bar.lead.is_positive()) {
        return;
    }
    let bars = Bars::of(music);
    // The joints of a bar stand together: one finding a bar.
    let mut said = None;
    for joint in bars.joints().iter().filter(|joint| !joint.at_end) {
        let bar = &tune.bars[joint.last.index()];
        let (frame, full) = (tune.frame(bar), tune.frame(bar).meter.bar());
        let Some(filled) = bars.filled(joint.last) else { continue };
        if filled + joint.pickup == full || said == Some(joint.last) || is_said(&bars, joint.last) {
            continue;
        }
        said = Some(joint.last);
        let next = &tune.sections[joint.next.index()];
        let name = &next.name;
        let pickup = tune.bars.get(next.bars.start as usize).filter(|_| joint.pickup.is_positive());
        let value = NoteValue::of(frame.unit, &[filled, joint.pickup, full]);
        let (together, whole) = (value.count(filled + joint.pickup), value.say(full));
        let message = match pickup {
            Some(_) => {
                format!("this bar and the pickup of part {name} after it have {together}, not {whole}")
            }
            None => format!(
                "this bar has {together} of {whole}, and part {name} after it has no pickup for the rest"
            ),
        };
        report.bar(music, joint.last, message);
    }
}

/// Whether what is wrong with `bar` is for other rules to say.
fn is_said(bars: &Bars, bar: BarId) -> bool {
    !bars.is_understood(bar) || bars.judge(bar).is_some()
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[track_caller]
    fn says(parts: &str, expected: &[&str]) {
        let piece = Piece::new(&format!("tune: T\nmeter: 6/8\n\n{parts}"));
        assert_eq!(piece.says("pickup-unpaid"), expected);
    }

    const FULL: &str = "3:0-- 1:0--";
    const SHORT: &str = "3:0-- 1:0-";

    #[test]
    fn each_last_bar_is_told_off_once() {
        says(
            &format!("part A x3\n1:0 | {FULL} | {FULL} |\n"),
            &[
                "3:0-- 1:0-- at part A, bar 2: this bar and the pickup of part A after it have 7, not 6 eighths",
            ],
        );
        says(&format!("part A\n1:0 | {FULL} |\n"), &[]);
        says(&format!("part A x2\n1:0 | {SHORT} |\n"), &[]);
    }

    #[test]
    fn a_bar_that_suits_one_part_may_not_suit_the_next() {
        says(
            &format!("part A x2\n1:0 | {SHORT} |\npart B\n| {FULL} |\n"),
            &[
                "3:0-- 1:0- at part A, bar 1: this bar has 5 of 6 eighths, and part B after it has no pickup for the \
               rest",
            ],
        );
        says(
            &format!(
                "part A\n1:0 | {FULL} |\nending 1\n| {SHORT} |\nending 2\n| {FULL} |\npart B\n| {FULL} |"
            ),
            &[],
        );
        says(
            &format!("part A\n| {FULL} |\npart B\n1:0 1:0 | {FULL} |\n"),
            &[
                "3:0-- 1:0-- at part A, bar 1: this bar and the pickup of part B after it have 8, not 6 eighths",
            ],
        );
    }

    #[test]
    fn what_another_rule_has_said_is_not_said_again() {
        says("part A x2\n1:0 | 3:0 1:0 |\n", &[]);
        says("part A x2\n1:0 | 3:0-- oops |\n", &[]);
        says("part A x2\n1:0 | 3:0-- 1:0--- |\n", &[]);
    }

    #[test]
    fn phrases_and_repeated_bars_are_looked_into() {
        says(
            &format!("phrase end\n| {FULL} | % |\npart A x2\n1:0 | @end |\n"),
            &["% at phrase end, bar 2: this bar and the pickup of part A after it have 7, not 6 eighths"],
        );
        says("part A x2\n1:0 | 3:0-- 1:0-- | @none |\n", &[]);
    }
}
