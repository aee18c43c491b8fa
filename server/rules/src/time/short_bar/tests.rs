use crate::testing::Piece;

#[track_caller]
fn says(music: &str, expected: &[&str]) {
    assert_eq!(Piece::jig(music).says("short-bar"), expected);
}

/// The titles of the mends of the only finding in `music`, safe ones with a star, each with what it makes.
#[track_caller]
fn mends(piece: &Piece, expected: &[(&str, &str)]) {
    let found = piece.findings_of("short-bar");
    assert_eq!(found.len(), 1);
    let shown: Vec<(String, String)> = piece
        .mends(&found[0])
        .into_iter()
        .map(|mend| {
            let music = piece.mended(&mend);
            let music = music.split_once("part A\n").unwrap().1.trim_end().to_owned();
            (mend.title + if mend.safe { " *" } else { "" }, music)
        })
        .collect();
    let shown: Vec<(&str, &str)> =
        shown.iter().map(|(title, music)| (title.as_str(), music.as_str())).collect();
    assert_eq!(shown, expected);
}

#[test]
fn the_group_that_lacks_time_is_marked() {
    says(
        "| 3:0 t 2:0  1:0 t |",
        &["1:0 t at part A, bar 1, count 6: this bar has 5 of 6 eighths; group 2 has 2 of 3"],
    );
    says(
        "| 3:0 t  1:0 t 2:0 |",
        &["3:0 t at part A, bar 1, count 3: this bar has 5 of 6 eighths; group 1 has 2 of 3"],
    );
    says("| 3:0 t 2:0 |", &["3:0 t 2:0 at part A, bar 1, count 4: this bar has 3 of 6 eighths"]);
    says(
        "| 3:0 t 2:0  1:0 t 2:0 | \"la\" |",
        &["\"la\" at part A, bar 2, count 1: this bar has 0 of 6 eighths"],
    );
}

#[test]
fn a_last_bar_may_be_short_by_the_pickup_that_follows() {
    says("1:0 | 3:0 t 2:0  1:0 t |", &[]);
    says(
        "1:0 | 3:0 t 2:0  1:0 |",
        &[
            "1:0 at part A, bar 1, count 5: this bar has 4 of 5 eighths before a pickup of 1 eighth; group 2 has 1 of 2",
        ],
    );
    let two = |a: &str, b: &str| {
        Piece::new(&format!("tune: T\nmeter: 6/8\n\npart A\n| {a} |\n\npart B\n{b}")).says("short-bar")
    };
    assert_eq!(two("3:0 t 2:0  1:0 t", "1:0 | 3:0 t 2:0  1:0 t 2:0 |"), [""; 0]);
    assert_eq!(two("3:0 t 2:0  1:0 t", "1:0 t | 3:0 t 2:0  1:0 t 2:0 |").len(), 1);
    assert_eq!(two("3:0 t 2:0  1:0 t", "| 3:0 t 2:0  1:0 t 2:0 |").len(), 1);
}

#[test]
fn endings_and_the_order_decide_what_follows() {
    let tune = |order: &str, first: &str, second: &str| {
        let text = format!(
            "tune: T\nmeter: 6/8\n{order}\npart A\n1:0 | 3:0-- 3:0-- |\nending 1\n| {first} |\nending 2\n| {second} |\n\
             part B\n| 3:0-- 3:0-- |\n"
        );
        Piece::new(&text).findings_of("short-bar").len()
    };
    assert_eq!(tune("", "3:0-- 3:0-", "3:0-- 3:0--"), 0);
    assert_eq!(tune("", "3:0-- 3:0-", "3:0-- 3:0-"), 1, "part B has no pickup");
    assert_eq!(
        tune("order: A A", "3:0-- 3:0-", "3:0-- 3:0-"),
        0,
        "played again, the tune starts with a pickup"
    );
}

#[test]
fn a_phrase_counts_where_it_ends_a_part() {
    let tune = |a: &str| {
        Piece::new(&format!("tune: T\nmeter: 6/8\n\nphrase end\n| 3:0 t 2:0  1:0 t |\npart A\n{a}"))
            .says("short-bar")
    };
    assert_eq!(tune("1:0 | 3:0-- 3:0-- | @end |"), [""; 0]);
    assert_eq!(
        tune("1:0 | @end | @end |"),
        ["1:0 t at phrase end, bar 1, count 6: this bar has 5 of 6 eighths; group 2 has 2 of 3"],
        "no pickup follows the first call"
    );
}

#[test]
fn a_repeated_bar_is_told_off_once_unless_its_meter_changes() {
    says(
        "| 3:0 t 2:0  1:0 t | % | % |",
        &["1:0 t at part A, bar 1, count 6: this bar has 5 of 6 eighths; group 2 has 2 of 3"],
    );
    says(
        "| 3:0 t 2:0  1:0 t 2:0 |\nmeter: 9/8\n| % |",
        &["% at part A, bar 2, count 1: this bar has 6 of 9 eighths"],
    );
}

#[test]
fn what_is_unreadable_or_guessed_is_not_counted() {
    says("| 3:0 oops 2:0 | 3:0 t 2:0  1:0 t 2:0 |", &[]);
    says(
        "| oops 3:0 | 3:0 t 2:0  1:0 t 2:0 oops | 3:0 t |",
        &["3:0 t at part A, bar 3, count 3: this bar has 2 of 6 eighths"],
    );
    assert_eq!(Piece::new("tune: T\nmeter: 0/8\n\npart A\n| 3:0 |").says("short-bar"), [""; 0]);
    assert_eq!(Piece::new("tune: T\n\npart A\n| 3:0 |").says("short-bar"), [""; 0]);
}

#[test]
fn what_sounds_may_ring_on() {
    mends(
        &Piece::jig("| 3:0 t 2:0  1:0 |  # end\n| 3:0-- 3:0-- |"),
        &[
            (
                "let the last note ring to the end of the bar *",
                "| 3:0 t 2:0  1:0-- |  # end\n| 3:0-- 3:0-- |",
            ),
            ("fill the bar with silence", "| 3:0 t 2:0  1:0 _ _ |  # end\n| 3:0-- 3:0-- |"),
            ("strike string 1 at fret 0 on count 6", "| 3:0 t 2:0  1:0- 1:0 |  # end\n| 3:0-- 3:0-- |"),
        ],
    );
    mends(
        &Piece::jig("| 3:0 t 2:0 |"),
        &[
            ("let the last note ring to the end of the bar *", "| 3:0 t 2:0  --- |"),
            ("fill the bar with silence", "| 3:0 t 2:0  _ _ _ |"),
            ("strike string 2 at fret 0 on count 4", "| 3:0 t 2:0  2:0-- |"),
        ],
    );
}

#[test]
fn silence_goes_on_as_silence() {
    mends(
        &Piece::jig("| 3:0 t 2:0  1:0 _\n\n# what next\n|"),
        &[
            ("fill the bar with silence *", "| 3:0 t 2:0  1:0 _ _\n\n# what next\n|"),
            ("strike string 1 at fret 0 on count 6", "| 3:0 t 2:0  1:0 _ 1:0\n\n# what next\n|"),
        ],
    );
}

#[test]
fn an_earlier_group_may_be_filled_where_it_is_short() {
    mends(
        &Piece::jig("| 3:0 t  1:0 t 2:0 |"),
        &[
            ("let the last note ring to the end of the bar *", "| 3:0 t  1:0 t 2:0- |"),
            ("fill the bar with silence", "| 3:0 t  1:0 t 2:0 _ |"),
            ("strike string 2 at fret 0 on count 6", "| 3:0 t  1:0 t 2:0 2:0 |"),
            ("let the last note of group 1 ring, and move what follows", "| 3:0 t-  1:0 t 2:0 |"),
        ],
    );
}

#[test]
fn a_brace_at_the_end_is_passed_over() {
    mends(
        &Piece::new("tune: T\nmeter: 4/4\n\npart A\n| 3:0 t  2:0 t  {1:0 h2 p0 }/2 \"ah\" |"),
        &[
            ("let the last note ring to the end of the bar *", "| 3:0 t  2:0 t  {1:0 h2 p0 }/2  -- \"ah\" |"),
            ("fill the bar with silence", "| 3:0 t  2:0 t  {1:0 h2 p0 }/2  _ _ \"ah\" |"),
            ("strike string 1 at fret 0 on count 4", "| 3:0 t  2:0 t  {1:0 h2 p0 }/2  1:0- \"ah\" |"),
        ],
    );
}

#[test]
fn less_than_a_slot_is_said_and_not_mended() {
    let piece = Piece::jig("| 3:0 t 2:0  1:0 {t 2:0 3:0}/2 | 3:0 {t 2:0} {t 2:0} 1:0 t {1:0 2:0 t 2:0}/1 |");
    assert_eq!(piece.findings_of("short-bar"), []);
    let piece = Piece::new("tune: T\nmeter: 13/16\nunit: 1/8\n\npart A\n| 3:0 t  2:0 t  1:0 t |");
    assert_eq!(
        piece.says("short-bar"),
        [
            "1:0 t at part A, bar 1, count 13: this bar has 12 of 13 sixteenths, and what is missing is no whole \
          number of slots: divide a slot in braces"
        ]
    );
    mends(&piece, &[]);
}

#[test]
fn where_a_pickup_leaves_less_room_filling_is_not_safe() {
    let piece = Piece::new(
        "tune: T\nmeter: 6/8\norder: A A B A\n\npart A\n1:0 1:0 | 3:0-- 3:0 |\n\npart B\n1:0 | 2:0-- 3:0 |\n",
    );
    let found = piece.findings_of("pickup-unpaid");
    assert_eq!(found.len(), 1, "A to B");
    let piece = Piece::jig("1:0 | 3:0 t 2:0  1:0 t |\n| % |");
    assert_eq!(piece.findings_of("short-bar").len(), 1);
    let mend = &piece.mends(&piece.findings_of("short-bar")[0])[0];
    assert!(!mend.safe, "the `%` before the pickup would grow");
    let piece = Piece::new(
        "tune: T\nmeter: 6/8\n\nphrase end\n| % |\n\npart A x2\n1:0 | 3:0 t 2:0  1:0 t | @end |\n",
    );
    let mend = &piece.mends(&piece.findings_of("short-bar")[0])[0];
    assert!(!mend.safe, "so would the one in the phrase");
    let piece = Piece::jig("1:0 | 3:0 t 2:0  1:0 t | @nowhere |\n");
    let mend = &piece.mends(&piece.findings_of("short-bar")[0])[0];
    assert!(!mend.safe, "a call of nothing leaves it the last bar before the pickup");
    let piece = Piece::jig("\"softly\" |\n\npart B\n1:0 | 3:0 t 2:0  1:0 t |\n");
    let mend = &piece.mends(&piece.findings_of("short-bar")[0])[0];
    assert!(!mend.safe, "filled up to the pickup it would be a pickup itself");
}

#[test]
fn all_are_filled_at_once() {
    let piece = Piece::jig(
        "1:0 | 3:0 t 2:0 |  # one\n 3:0 | _ 2:0 _ |\r\n[3:0 2:1] t  3:0 t 2:0 |\n| % | 3:0 t 2:0  1:0 |",
    );
    let mended = piece.all_mended("short-bar");
    assert_eq!(mended.findings_of("short-bar"), []);
    assert!(
        mended.text.ends_with(
            "1:0 | 3:0 t 2:0  --- |  # one\n 3:0--  --- | _ 2:0 _  _ _ _ |\r\n[3:0 2:1] t  3:0 t 2:0- |\n| % | 3:0 t 2:0  1:0- |\n"
        ),
        "{}",
        mended.text
    );
}
