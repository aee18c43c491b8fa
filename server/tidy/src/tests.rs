use lope_syntax::{TokenKind, parse};
use lope_tune::{Defaults, read};
use proptest::prelude::*;

use super::*;

fn tidied_before(text: &str, next: Next) -> String {
    let tree = parse(text);
    let reading = read(text, &tree, &Defaults::default());
    let (mut tidied, mut end) = (String::new(), 0);
    for gap in tidy(text, &tree, &reading, next) {
        assert!(gap.span.start >= end, "gaps are in order");
        assert_ne!(gap.span.of(text), gap.blanks, "only gaps that change are told");
        tidied.push_str(Span::new(end, gap.span.start).of(text));
        tidied.push_str(&gap.blanks);
        end = gap.span.end;
    }
    tidied + &text[end as usize..]
}

fn tidied(text: &str) -> String {
    tidied_before(text, Next::End)
}

/// The solid tokens of `text`.
fn solid(text: &str) -> Vec<(TokenKind, String)> {
    let solid = |kind| !matches!(kind, TokenKind::Blank | TokenKind::LineBreak);
    let tree = parse(text);
    tree.tokens().iter().filter(|t| solid(t.kind)).map(|t| (t.kind, t.span.of(text).to_owned())).collect()
}

/// The laws: nothing but gaps changes, the music is the same, and tidying again changes nothing.
fn hold_laws(text: &str) -> String {
    let once = tidied(text);
    assert_eq!(solid(&once), solid(text), "tokens of {text:?} and of {once:?}");
    let music = |text: &str| {
        let reading = read(text, &parse(text), &Defaults::default());
        let melodies: Vec<_> = reading.melodies.iter().map(|melody| melody.melody()).collect();
        (reading.tune, melodies)
    };
    assert_eq!(music(&once), music(text), "{text:?} became {once:?}");
    assert_eq!(parse(&once).faults().len(), parse(text).faults().len(), "{text:?} became {once:?}");
    assert_eq!(tidied(&once), once, "tidied once and twice from {text:?}");
    once
}

#[track_caller]
fn check(text: &str, expected: &str) {
    assert_eq!(hold_laws(text), expected);
}

#[test]
fn slots_stand_apart_and_groups_farther() {
    check("meter: 6/8\npart A\n|1:0 -   2:0 1:0   t 2:0|", "meter: 6/8\n\npart A\n| 1:0- 2:0  1:0 t 2:0 |\n");
    check("meter: 4/4\npart A\n|1:0 t 2:0 - - - _ -|", "meter: 4/4\n\npart A\n| 1:0 t  2:0-  - -  _ - |\n");
    check("meter: 6/8\npart A\n|1:0 - - - - -|", "meter: 6/8\n\npart A\n| 1:0- -  - - - |\n");
}

#[test]
fn brackets_hold_no_blanks_at_their_edges_and_labels_stand_with_their_slot() {
    check(
        "meter: 4/4\npart A\n| \"slow\"   <G>{ 1:0  h2 1:0 }/2 -  [ 3:0 2:1! ] t <D> |",
        "\
meter: 4/4

part A
| \"slow\" <G> {1:0 h2 1:0}/2  - [3:0 2:1!]  t <D> |
",
    );
}

#[test]
fn runs_show_their_threes() {
    check(
        "meter: 4/4\npart A\n| {1:0 t 1:0 2:0 - 2:1}/4 {1:0 1:2}/4 |",
        "\
meter: 4/4

part A
| {1:0 t 1:0  2:0- 2:1}/4  {1:0 1:2}/4 |
",
    );
}

#[test]
fn all_of_a_brush_stands_in_one_slot() {
    check(
        "meter: 4/4\npart A\n|{1:0 t 1:0 2:0 - [3:0 t2:1 1:2] 1:0 t 2:0}/4 [ 2:0 1:0]|",
        "meter: 4/4\n\npart A\n| {1:0 t 1:0  2:0- [3:0 t2:1 1:2]  1:0 t 2:0}/4  [2:0 1:0] |\n",
    );
}

#[test]
fn bar_lines_stand_in_columns_and_pickups_before_them() {
    check(
        "meter: 6/8\npart A\n1:0|1:0 t 2:0 1:0 t 2:0|1:0-|\n| 1:0---- - |2:0 t 1:0 2:0|",
        "\
meter: 6/8

part A
1:0 | 1:0 t 2:0  1:0 t 2:0 | 1:0-           |
    | 1:0- -  - - -        | 2:0 t 1:0  2:0 |
",
    );
}

#[test]
fn lines_of_a_file_keep_their_order_their_comments_and_their_endings() {
    check(
        "\r\n\r\n# top\r\ntune :T   # c\r\n\r\n\r\nby: me\r\n# about A\r\npart  A   x2\r\n| 1:0 |# end\r\nending 1\r\n|2:0|\r\n# b\r\nphrase b\r\n1:0",
        "# top\r\ntune: T  # c\r\n\r\nby: me\r\n\r\n# about A\r\npart A x2\r\n| 1:0 |  # end\r\n  ending 1\r\n  | 2:0 |\r\n\r\n# b\r\nphrase b\r\n1:0\r\n",
    );
}

#[test]
fn wide_letters_count_for_the_columns_they_take() {
    check(
        "meter: 6/8\npart A\n| \"\u{6b4c}\" 1:0 |\n| 1:0 t 2:0 |",
        "\
meter: 6/8

part A
| \"\u{6b4c}\" 1:0  |
| 1:0 t 2:0 |
",
    );
}

#[test]
fn what_is_no_notation_keeps_the_blanks_around_it() {
    check("part A\n|  1:   0  oops |<G  |", "part A\n|  1:   0  oops |<G  |\n");
    check("part A\n1:0   t|  oops", "part A\n1:0 t |  oops\n");
}

#[test]
fn a_tune_before_another_ends_with_a_blank_line() {
    assert_eq!(tidied_before("tune: T\n\n\n\n", Next::Tune), "tune: T\n\n");
    assert_eq!(tidied_before("tune: T", Next::Tune), "tune: T\n\n");
    assert_eq!(tidied("tune: T\n\n\n"), "tune: T\n");
    assert_eq!(tidied(" \n\t\n"), "");
    assert_eq!(tidied("\u{feff}  tune: T"), "\u{feff}tune: T\n");
}

#[test]
fn a_bar_too_wide_for_any_page_does_not_push_others_aside() {
    let wide = "1:0 ".repeat(1_000);
    let text = hold_laws(&format!("meter: 6/8\npart A\n| 1:0 | 2:0 |\n| {wide} | 2:0 |\n"));
    assert!(text.contains("\n| 1:0 | 2:0 |\n"), "{}", &text[..60]);
}

/// Pieces of notation, whole and broken, to make texts of.
fn piece() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "1:0",
        "2:1!",
        "t",
        "t2:0",
        "h4",
        "p2:0",
        "s5~/i",
        "-",
        "_",
        "%",
        "@a",
        "{",
        "}",
        "}/2",
        "/2",
        "[",
        "]",
        "\"w\"",
        "<G7>",
        "|",
        "!",
        "/i",
        "1:",
        "h",
        "oops",
        "\"open",
        "<C ",
        "# c",
        "\n",
        "\n\n",
        "\r\n",
        " ",
        "  ",
        "\t",
        "part A x2",
        "phrase a",
        "ending 1",
        "\nmeter: 4/4\n",
        "\ntune: T\n",
        "\nunit : 1/16 # c\n",
        "\u{6b4c}",
        "\npart B\n",
        "\n ending 2\n",
        "\n# keep x: y\n",
        "\u{feff}",
    ])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1_500, ..ProptestConfig::default() })]

    #[test]
    fn the_laws_hold_for_any_text(pieces in prop::collection::vec((piece(), any::<bool>()), 0..40)) {
        let mut text = String::new();
        for (piece, blank) in pieces {
            text.push_str(piece);
            text.push_str(if blank { " " } else { "" });
        }
        hold_laws(&text);
    }
}
