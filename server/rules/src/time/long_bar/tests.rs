use crate::testing::Piece;

#[test]
fn what_does_not_fit_is_marked() {
    assert_eq!(
        Piece::jig("| 3:0 t 2:0  1:0 t 2:0 1:0 | 1:0-- 1:0-- |").says("long-bar"),
        ["1:0 at part A, bar 1, count 7: this bar has 7 eighths, and 6 fill it"]
    );
    assert_eq!(
        Piece::jig("| 3:0 t 2:0  1:0 {t 2:0 3:0}/3 | 1:0-- 1:0-- |").says("long-bar"),
        ["3:0 at part A, bar 1, count 7: this bar has 7 eighths, and 6 fill it"]
    );
}

#[test]
fn a_first_bar_too_long_for_a_pickup_is_long() {
    assert_eq!(
        Piece::jig("3:0 t 2:0  1:0 t 2:0 1:0 | 1:0-- 1:0-- |").says("long-bar"),
        ["1:0 at part A, bar 1, count 7: this bar has 7 eighths, and 6 fill it"]
    );
}

#[track_caller]
fn moved(music: &str, title: &str, expected: &str) {
    let piece = Piece::jig(music);
    assert_eq!(piece.findings_of("short-bar"), [], "one slip is one finding");
    assert_eq!(piece.first_mends("long-bar"), [(title.to_owned(), expected.to_owned())]);
    assert_eq!(Piece::jig(expected).findings_of("long-bar"), []);
    assert_eq!(Piece::jig(expected).findings_of("short-bar"), []);
}

#[test]
fn the_bar_line_moves_back() {
    moved(
        "| 3:0 t 2:0  1:0 t 2:0 1:0 | t 2:0  1:0-- |",
        "move the bar line back by 1 eighth",
        "| 3:0 t 2:0  1:0 t 2:0 | 1:0 t 2:0  1:0-- |",
    );
    moved(
        "| 3:0 t 2:0  1:0 t 2:0 <G> \"a\" {1:0 2:0} t|# c\n  | 2:0  1:0-- |",
        "move the bar line back by 2 eighths",
        "| 3:0 t 2:0  1:0 t 2:0 | <G> \"a\" {1:0 2:0} t# c\n 2:0  1:0-- |",
    );
    moved(
        "| 3:0 t 2:0\n    1:0 t 2:0\n    1:0 t | 2:0  1:0-- |",
        "move the bar line back by 2 eighths",
        "| 3:0 t 2:0\n    1:0 t 2:0\n    | 1:0 t 2:0  1:0-- |",
    );
    moved(
        "| 3:0 t 2:0  1:0 t 2:0-|2:0 3:0  1:0-- |",
        "move the bar line back by 1 eighth",
        "| 3:0 t 2:0  1:0 t 2:0 | - 2:0 3:0  1:0-- |",
    );
}

#[test]
fn the_bar_line_moves_on() {
    moved(
        "| 3:0 t 2:0  1:0 t | 2:0 1:0 t 2:0  1:0-- |",
        "move the bar line on by 1 eighth",
        "| 3:0 t 2:0  1:0 t 2:0 | 1:0 t 2:0  1:0-- |",
    );
}

#[test]
fn it_does_not_move_into_a_brace_or_over_a_change() {
    let mends = |music: &str| Piece::jig(music).first_mends("long-bar").len();
    assert_eq!(mends("| 3:0 t 2:0  1:0 t {2:0 1:0}/2 | t 2:0  1:0-- |"), 0);
    assert_eq!(mends("| 3:0 t 2:0  1:0 t 2:0 1:0 |\nmeter: 3/8\n| t 2:0 |"), 0);
    assert_eq!(mends("| 3:0 t 2:0  1:0 t 2:0 1:0 |\nending 1\n| t 2:0  1:0-- |"), 0);
}

/// The notes keep their order and the two bars' own notes their moments; only what comes after is sooner.
#[test]
fn what_is_played_after_the_two_bars_comes_sooner() {
    let piece = Piece::jig("| 3:0 t 2:0  1:0 t 2:0 1:0 | t 2:0  1:0-- | 4:0-- 4:0-- |");
    let found = piece.findings_of("long-bar");
    let mend = &piece.mends(&found[0])[0];
    assert!(!mend.safe);
    let (before, after) = (piece.heard(), Piece::new(&piece.mended(mend)).heard());
    let pitches = |heard: &[(_, _)]| heard.iter().map(|(_, pitch)| *pitch).collect::<Vec<_>>();
    assert_eq!(pitches(&before), pitches(&after));
    assert_eq!(before[..10], after[..10]);
    assert!(after[10].0 < before[10].0);
}
