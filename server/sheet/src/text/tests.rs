//! What plain text looks like, and laws of its columns.

use super::*;
use crate::testing::tune;

fn written(source: &str, plain: &Plain) -> String {
    let tune = tune(source);
    text(&tune, &lope_hand::read(&tune), plain)
}

const JIG: &str = "tune: The Test at Low Water
kind: jig
meter: 6/8
tuning: gDGBD
tempo: 104

part A
1:0 | <G> 3:0- 2:0  1:0 t2:0 3:0 | 1:2 p0 2:0  3:0- 1:0 | \"soft\" 2:1! t 3:0  _ 3:2 h4 |
ending 1
| 3:0 t 2:0  3:2- |
ending 2
| 3:0 t 3:0  3:0- |
";

#[test]
fn a_jig_lines_up() {
    let plain = Plain { strokes: true, count: true, ..Plain::default() };
    let expected = "\
The Test at Low Water                                                jig
6/8, 104 beats a minute, open G tuning, gDGBD
2 letters to 1/8; h hammer-on, p pull-off, ! accent, x strike, o fall on
air, t thumb, l left hand alone

part A, twice
                                             ending 1   ending 2
                                 soft
       G
                                 !
D |-0|-------0----|-2p0-------0|------------|----------|----------||
B |--|-----0---0--|-----0------|-1----------|-----0----|----------||
G |--|-0---------0|-------0----|-----0-_-2h4|-0-----2--|-0---0-0--||
D |--|------------|------------|------------|----------|----------||
g |--|------------|------------|---0--------|---0------|---0------||
    x  x   x x t x  x l x x   x  x t x o x l  x t x x    x t x x
    6  1 2 3 4 5 6  1 2 3 4 5 6  1 2 3 4 5 6  1 2 3 4 5  1 2 3 4 5
";
    let text = written(JIG, &plain);
    assert_eq!(text, expected, "{text}");
}

/// The rows of strings, in fives.
fn staves(text: &str) -> Vec<Vec<&str>> {
    let rows: Vec<&str> = text.lines().filter(|line| line.contains(" |") && line.contains('-')).collect();
    rows.chunks(5).map(<[&str]>::to_vec).collect()
}

#[test]
fn every_line_is_as_wide_as_asked_at_most_and_the_strings_of_a_line_are_alike() {
    let long = format!(
        "tune: {}\nmeter: 4/4\npart A x3\n| {} |\n| % | @no |\n",
        "潮".repeat(99),
        "1:10 t 3:2 h4 ".repeat(90)
    );
    for source in [JIG, &long] {
        for width in [1, 24, 40, 72, 200] {
            for extras in [false, true] {
                let text =
                    written(source, &Plain { width, strokes: extras, count: extras, ..Plain::default() });
                for line in text.lines().filter(|line| line.chars().any(|letter| letter == '|')) {
                    assert!(line.width() <= width.max(24), "{width}: {line}");
                }
                for staff in staves(&text) {
                    assert_eq!(staff.len(), 5, "{text}");
                    assert!(staff.iter().all(|row| row.len() == staff[0].len()), "{text}");
                }
            }
        }
    }
}

#[test]
fn no_music_and_broken_music_are_said_in_words() {
    assert!(written("tune: Nothing\nmeter: 4/4\n", &Plain::default()).ends_with("\nNo music yet.\n"));
    let broken = written("tune: Broken\nmeter: 4/4\npart A\n| @nowhere | 3:0 |\n", &Plain::default());
    assert!(broken.contains("@nowhere") && broken.contains('?'), "{broken}");
}
