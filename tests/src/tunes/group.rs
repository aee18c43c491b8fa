//! Groups that keep the gait: struck on every fall, and on the rise the thumb, the left hand or nothing.

use std::fmt;

use super::Dice;

/// A string and a fret.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spot {
    /// The string, 1 to 4.
    pub string: u8,
    /// The fret.
    pub fret: u8,
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.string, self.fret)
    }
}

/// Both hands over one tune. The left stays in one position of four frets, which is within anyone's reach.
#[derive(Clone, Debug)]
pub struct Hands {
    position: u8,
}

impl Hands {
    /// Hands at one of the first positions.
    pub fn new(dice: &mut Dice) -> Self {
        Self { position: dice.pick(&[1, 1, 1, 2, 5]) }
    }

    /// A note to strike on a long string.
    pub fn strike(&self, dice: &mut Dice) -> Spot {
        Spot { string: dice.pick(&[1, 1, 2, 2, 3, 3, 4]), fret: self.fret(dice) }
    }

    /// Three slots in the gait `x.x`.
    pub fn three(&self, dice: &mut Dice) -> String {
        match dice.below(8) {
            0 => format!("{}--", self.strike(dice)),
            1 | 2 => format!("{}- {}", self.strike(dice), self.strike(dice)),
            3 => format!("{}- {}", self.brush(dice), self.strike(dice)),
            4 => format!("{} _ {}", self.strike(dice), self.strike(dice)),
            _ => self.three_notes(dice),
        }
    }

    /// Three notes in the gait `x.x`.
    pub fn three_notes(&self, dice: &mut Dice) -> String {
        format!("{} {}", self.two_notes(dice), self.strike(dice))
    }

    /// Two slots in the gait `x.`.
    pub fn pair(&self, dice: &mut Dice) -> String {
        match dice.below(6) {
            0 => format!("{}-", self.strike(dice)),
            1 => format!("{}!-", self.strike(dice)),
            2 => format!("{}-", self.brush(dice)),
            3 => format!("{} t", self.brush(dice)),
            _ => self.two_notes(dice),
        }
    }

    /// A strike, and a note on the rise that the thumb or the left hand plays.
    fn two_notes(&self, dice: &mut Dice) -> String {
        let low = Spot { string: dice.pick(&[1, 2, 3, 4]), fret: dice.pick(&[0, self.position]) };
        let high = Spot { fret: self.position + 1 + dice.below(3) as u8, ..low };
        match dice.below(6) {
            0 => format!("{low} h{}", high.fret),
            1 => format!("{high} p{}", low.fret),
            2 => format!("{low} s{}", high.fret),
            3 => {
                let struck = Spot { string: dice.pick(&[1, 2]), fret: self.fret(dice) };
                let dropped = Spot { string: struck.string + 1 + dice.below(2) as u8, fret: self.fret(dice) };
                format!("{struck} t{dropped}")
            }
            _ => format!("{low} t"),
        }
    }

    /// Three long strings under one fall.
    fn brush(&self, dice: &mut Dice) -> String {
        let frets = [self.fret(dice), self.fret(dice), self.fret(dice)];
        format!("[3:{} 2:{} 1:{}]", frets[0], frets[1], frets[2])
    }

    fn fret(&self, dice: &mut Dice) -> u8 {
        if dice.once_in(3) { 0 } else { self.position + dice.below(4) as u8 }
    }
}
