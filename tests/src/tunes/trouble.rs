//! Groups with something for a rule to find.

use super::Dice;
use super::group::Hands;

/// Two groups of `slots` slots in which one note breaks the gait: a hammer-on where the hand falls.
pub fn one(hands: &mut Hands, dice: &mut Dice, slots: usize) -> Vec<String> {
    match slots {
        3 => vec!["2:0- h2".to_owned(), hands.three(dice)],
        _ => vec!["2:0-".to_owned(), "h2-".to_owned()],
    }
}

/// One group of `slots` slots, or a slot more or less, that may have anything wrong with it.
pub fn any(hands: &mut Hands, dice: &mut Dice, slots: usize) -> String {
    let struck = hands.strike(dice);
    let third = dice.pick(&[
        "t",
        "t3:2",
        "t1:0",
        "h2",
        "h9",
        "p0",
        "p9",
        "s4",
        "s0",
        "h1:3",
        "p2:0",
        "1:0",
        "5:0",
        "5:3",
        "-",
        "_",
        "1:30",
        "[3:0 t 1:2]",
        "[2:0 2:1]",
        "{1:0 t 2:0}",
        "{t 1:1}",
        "@nowhere",
        "%",
        "?",
        "~",
        "",
    ]);
    let second = dice.pick(&["-", "t", "t4:0", "h3", "p0", "2:1", "_"]);
    match slots {
        3 => format!("{struck} {second} {third}"),
        _ => format!("{struck} {third}"),
    }
}
