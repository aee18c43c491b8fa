//! What holds for the mends of these rules whatever the tune is.

use proptest::prelude::*;

use crate::testing::Piece;

const RULES: [&str; 4] = ["short-bar", "long-bar", "nothing-to-hold", "gait-misfit"];

fn slots(count: std::ops::Range<usize>) -> impl Strategy<Value = String> {
    let slot = prop::sample::select(vec![
        "3:0",
        "1:2",
        "t",
        "t2:1",
        "h4",
        "p0",
        "-",
        "-",
        "_",
        "[3:0 1:2]",
        "{1:0 2:0}",
        "{1:0 t 2:0}/2",
        "\"la\" 2:0",
    ]);
    let gap = prop::sample::select(vec![" ", " ", "  ", "\n  ", " # so\n"]);
    prop::collection::vec((slot, gap), count)
        .prop_map(|slots| slots.into_iter().map(|(slot, gap)| format!("{slot}{gap}")).collect())
}

fn bar() -> impl Strategy<Value = String> {
    prop_oneof![
        8 => slots(1..9),
        4 => Just("3:0 t 2:0  1:0 t 2:0 ".to_owned()),
        1 => Just("% ".to_owned()),
        1 => Just("@end ".to_owned()),
        1 => Just("3:0 t 2:0  1:0 |\nmeter: 3/4\n| % ".to_owned()),
    ]
}

fn bars() -> impl Strategy<Value = String> {
    prop::collection::vec(bar(), 1..5).prop_map(|bars| format!("| {}|\n", bars.join("| ")))
}

fn part() -> impl Strategy<Value = String> {
    let pickup = prop::option::of(slots(1..3));
    (1..3_u32, pickup, bars(), prop::collection::vec(bars(), 0..3)).prop_map(
        |(times, pickup, bars, endings)| {
            let endings: String =
                (1..).zip(endings).map(|(number, bars)| format!("ending {number}\n{bars}")).collect();
            let times = if endings.is_empty() { format!(" x{times}") } else { String::new() };
            format!("{times}\n{}{bars}{endings}", pickup.unwrap_or_default())
        },
    )
}

fn tune() -> impl Strategy<Value = String> {
    let head = prop::sample::select(vec!["6/8", "4/4", "6/8\ngait: x.x.x", "7/8", "6/8\norder: A B A A"]);
    let phrase = bars().prop_map(|bars| bars.replace("@end", "2:0"));
    (head, phrase, part(), part()).prop_map(|(head, phrase, a, b)| {
        format!("tune: T\nmeter: {head}\n\nphrase end\n{phrase}\npart A{a}\npart B{b}")
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    /// Safe mends keep what is heard, one by one and all together, and leave nothing that could be mended
    /// so; no mend makes text that cannot be read.
    #[test]
    fn safe_mends_keep_the_music_and_come_to_an_end(text in tune()) {
        let piece = Piece::new(&text);
        for rule in RULES {
            for finding in piece.findings_of(rule) {
                for mend in piece.mends(&finding) {
                    let mended = Piece::new(&piece.mended(&mend));
                    prop_assert_eq!(mended.tree.faults(), [], "{}:\n{}", mend.title, mended.text);
                }
            }
            let mended = piece.all_mended(rule);
            for finding in mended.findings_of(rule) {
                prop_assert!(!mended.mends(&finding).iter().any(|mend| mend.safe), "{}", mended.text);
            }
        }
    }
}
