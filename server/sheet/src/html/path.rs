//! The outlines of a path, each step in as few letters as it takes.

use std::fmt::Write;

use super::style::units;
use crate::frame::{Point, Step};

/// What stands in the `d` of a path. Every step but the first is told from the one before.
#[derive(Default)]
pub struct Outline {
    /// As it is written.
    pub text: String,
    at: Spot,
    /// Where the stretch began that a `z` goes back to.
    start: Spot,
    /// The letter of the last step, which need not be said twice.
    last: char,
}

/// A place in units.
#[derive(Clone, Copy, Default, PartialEq, Eq)]
pub struct Spot {
    /// From the left.
    pub x: i32,
    /// From the top.
    pub y: i32,
}

impl From<Point> for Spot {
    fn from(Point { x, y }: Point) -> Self {
        Self { x: units(x), y: units(y) }
    }
}

impl Outline {
    /// Goes one step on.
    pub fn step(&mut self, step: &Step) {
        match *step {
            Step::Move(to) => self.go(to.into()),
            Step::Line(to) => self.line(to.into()),
            Step::Curve(one, two, to) => {
                let spots = [one, two, to].map(Spot::from);
                let from = self.at;
                self.letter('c', &spots.map(|spot| [spot.x - from.x, spot.y - from.y]).concat());
                self.at = spots[2];
            }
            Step::Close => {
                self.letter('z', &[]);
                self.at = self.start;
            }
        }
    }

    /// Goes somewhere without drawing.
    pub fn go(&mut self, to: Spot) {
        let here = self.text.len();
        let last = self.last;
        self.letter('M', &[to.x, to.y]);
        let absolute = self.text.split_off(here);
        if here > 0 {
            self.last = last;
            self.letter('m', &[to.x - self.at.x, to.y - self.at.y]);
        }
        if here == 0 || self.text.len() - here > absolute.len() {
            self.text.truncate(here);
            self.text.push_str(&absolute);
            self.last = 'M';
        }
        (self.at, self.start) = (to, to);
    }

    /// Draws a straight line.
    pub fn line(&mut self, to: Spot) {
        let (x, y) = (to.x - self.at.x, to.y - self.at.y);
        match (x, y) {
            (x, 0) => self.letter('h', &[x]),
            (0, y) => self.letter('v', &[y]),
            (x, y) => self.letter('l', &[x, y]),
        }
        self.at = to;
    }

    fn letter(&mut self, letter: char, numbers: &[i32]) {
        // After a move, further numbers would be lines.
        let is_said = letter == self.last && matches!(letter, 'c' | 'l');
        if !is_said {
            self.text.push(letter);
        }
        for (at, number) in numbers.iter().enumerate() {
            if *number >= 0 && (at > 0 || is_said) {
                self.text.push(' ');
            }
            let _ = write!(self.text, "{number}");
        }
        self.last = letter;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(steps: &[Step]) -> String {
        let mut outline = Outline::default();
        steps.iter().for_each(|step| outline.step(step));
        outline.text
    }

    const fn at(x: f32, y: f32) -> Point {
        Point { x, y }
    }

    #[test]
    fn steps_are_told_from_the_one_before() {
        let steps = [
            Step::Move(at(100.0, 50.0)),
            Step::Line(at(102.0, 50.0)),
            Step::Line(at(102.0, 49.0)),
            Step::Line(at(101.0, 49.5)),
            Step::Line(at(100.5, 50.0)),
            Step::Close,
            Step::Move(at(101.0, 50.0)),
            Step::Curve(at(101.5, 50.0), at(102.0, 50.5), at(102.0, 51.0)),
            Step::Curve(at(102.0, 50.0), at(101.0, 50.0), at(101.0, 50.0)),
        ];
        assert_eq!(written(&steps), "M2000 1000h40v-20l-20 10-10 10zm20 0c10 0 20 10 20 20 0-20-20-20-20-20");
    }

    #[test]
    fn what_is_rounded_does_not_add_up() {
        let mut steps = vec![Step::Move(at(0.0, 0.0))];
        steps.extend((1..=100).map(|count| Step::Line(at(count as f32 * 0.033, 1.0))));
        let text = written(&steps);
        let numbers = text[4..].replace('h', "").replace('-', " -");
        assert!(numbers.len() > 100, "{text}");
        let mut outline = Outline::default();
        steps.iter().for_each(|step| outline.step(step));
        assert_eq!(outline.at.x, units(3.3));
    }

    #[test]
    fn a_place_is_named_in_the_shorter_way() {
        let steps = [Step::Move(at(0.0, 0.0)), Step::Move(at(500.0, 0.1)), Step::Move(at(0.0, 0.0))];
        assert_eq!(written(&steps), "M0 0m10000 2M0 0");
    }
}
