use crate::testing::Piece;

/// What is said of the one slip in `music`.
#[track_caller]
fn says(music: &str, expected: &str) {
    assert_eq!(Piece::jig(music).says("unreadable"), [expected]);
}

#[test]
fn every_fault_says_what_to_write_instead() {
    says(
        "| 3:0 then |",
        "then at part A, bar 1: `then` is no notation; words go in quotes, as in `\"slowly\"`, or after a `#`",
    );
    says("| 3:0 1;2 |", "1;2 at part A, bar 1: `1;2` is no notation; the nearest note is `1:2`");
    says("| 3:0 H4 |", "H4 at part A, bar 1: `H4` is no notation; the nearest note is `h4`");
    says(
        "| 3 |",
        "3 at part A, bar 1: `3` is half a note; write the string, a colon and the fret, as in `3:0`",
    );
    says(
        "| 3:0 7q |",
        "7q at part A, bar 1: `7q` is no notation; a note is its string, a colon and its fret, as in `1:2`",
    );
    says("| 3: |", "3: at part A, bar 1: `3:` has no fret; write it after the colon, as in `3:0`");
    says(
        "| t2 |",
        "t2 at part A, bar 1: `t2` has no fret; write it as in `t2:0`, or `t` alone for the drone",
    );
    says("| 3:0 p |", "p at part A, bar 1: this pull-off has no fret; write where it goes, as in `p2`");
    says(
        "| 3:0 h2: |",
        "h2: at part A, bar 1: this hammer-on has no fret; write where it goes, as in `h2:2`",
    );
    says(
        "| {3:0 t |",
        "{ at part A, bar 1: this brace is not closed before the bar line; write `}` after its last slot",
    );
    says(
        "| [3:0 t |",
        "[ at part A, bar 1, count 1: this brush is not closed before the bar line; write `]` after its last note",
    );
    says("| 3:0 ] |", "] at part A, bar 1: `]` closes nothing; take it out, or open it with `[`");
    says("| { } 3:0 |", "{ } at part A, bar 1: there is nothing in `{ }`; write slots in it, or take it out");
    says(
        "| 3:0 \"la |",
        "\"la | at part A, bar 1: these words are not closed on their line; write a `\"` after the last of them",
    );
    says(
        "| <G 3:0 |",
        "<G 3:0  at part A, bar 1: this chord symbol is not closed; write a `>` after it, as in `<G7>`",
    );
    says(
        "| [3:0 -] |",
        "- at part A, bar 1, count 1: `-` cannot be in a brush; brackets hold notes that sound at once, and nothing else",
    );
    says(
        "| 3:0 ~ |",
        "~ at part A, bar 1: `~` touches no note; write it straight after the fret, as in `1:2~`",
    );
    says(
        "| {3:0 t} /2 |",
        "/2 at part A, bar 1: `/2` touches no brace; write it straight after one, as in `{1:2 p0 2:1}/2`",
    );
    says("| 3:0 % |", "% at part A, bar 1: `%` stands for a whole bar; give it a bar of its own");
    says("| % | 3:0 |", "% at part A, bar 1: no bar comes before this one that `%` could repeat");
}

#[test]
fn a_bracket_over_a_bar_line_is_one_slip() {
    let found = Piece::jig("| {3:0 2:0 | 3:0 t } | [3:0 | 2:0] } |").findings_of("unreadable");
    let related: Vec<usize> = found.iter().map(|finding| finding.related.len()).collect();
    assert_eq!(related, [1, 1, 0]);
}

#[test]
fn headings_and_places_are_told_too() {
    let says = |text: &str, expected: &str| {
        assert_eq!(Piece::new(&format!("tune: T\nmeter: 6/8\n{text}")).says("unreadable"), [expected]);
    };
    says(
        "part\n| 3:0 |",
        "part at the tune: `part` is no heading; write one word as its name and how often it is played, as in `part A x2`",
    );
    says(
        "part A\n| 3:0 |\nending one\n| 3:0 |",
        "ending one at the tune: `ending one` is no heading; write when it is played, as in `ending 1` or `ending 1,2`",
    );
    says(
        "phrase\n| 3:0 |",
        "phrase at the tune: `phrase` is no heading; write one word as its name, as in `phrase stair`",
    );
    says(
        "ending 1\n| 3:0 |",
        "ending at the tune: this ending belongs to no part; write `part A` and its bars above it",
    );
    says("| 3:0 |", "| at the tune: this music belongs to no part; write `part A` on a line above it");
    says("prat A\n| 3:0 |", "prat at the tune: `prat` is no notation; the nearest word is `part`");
    says(
        "tempo 90\npart A\n| 3:0 |",
        "tempo at the tune: `tempo` is no notation; a field has a colon, as in `tempo: …`",
    );
}

#[test]
fn what_is_obvious_is_mended() {
    let mended = |music: &str| {
        let mended = Piece::jig(music).first_mends("unreadable");
        assert_eq!(mended.len(), 1, "{music}");
        mended[0].1.clone()
    };
    assert_eq!(mended("| [3:0 2:0  # low\n | 3:0 |"), "| [3:0 2:0]  # low\n | 3:0 |");
    assert_eq!(mended("| {3:0 2:0 | 3:0 t } |"), "| {3:0 2:0} | 3:0 t |");
    assert_eq!(mended("| 3:0 2:0 } | 3:0 |"), "| 3:0 2:0 | 3:0 |");
    assert_eq!(mended("| 3:0 ! | 3:0 |"), "| 3:0! | 3:0 |");
    assert_eq!(mended("| {3:0 t} /2 | 3:0 |"), "| {3:0 t}/2 | 3:0 |");
    assert_eq!(mended("| \"let it ring 3:0 t | 3:0 |"), "| \"let it ring\" 3:0 t | 3:0 |");
    assert_eq!(mended("| 3:0 \"fine"), "| 3:0 \"fine\"");
    assert_eq!(mended("| <G7 3:0 t | 3:0 |"), "| <G7> 3:0 t | 3:0 |");
    assert_eq!(mended("| 3:0 T2:1 | 3:0 |"), "| 3:0 t2:1 | 3:0 |");
    assert_eq!(mended("| 3:0 2.1- | 3:0 |"), "| 3:0 2:1- | 3:0 |");
    assert_eq!(mended("| 3:0 rit molto | 3:0 |"), "| 3:0 \"rit molto\" | 3:0 |");
    assert_eq!(mended("| 3:0 |\nprat B\n| 3:0 |"), "| 3:0 |\npart B\n| 3:0 |");
    assert_eq!(mended("| 3:0 |\nmeter 4/4\n| 3:0 |"), "| 3:0 |\nmeter: 4/4\n| 3:0 |");
}

#[test]
fn music_outside_a_part_gets_a_heading() {
    let piece = Piece::new("tune: T\r\nmeter: 6/8\r\n\r\n  | 3:0 |\r\npart A\r\n| 3:0 |\r\n");
    let found = piece.findings_of("unreadable");
    let mended = piece.mended(&piece.mends(&found[0])[0]);
    assert_eq!(mended, "tune: T\r\nmeter: 6/8\r\n\r\npart B\r\n  | 3:0 |\r\npart A\r\n| 3:0 |\r\n");
}
