//! SVG as text: names, numbers, colours, and words that are never markup.

use super::number::Number;
use crate::frame::{Ink, Point};
use crate::palette::rgb;

/// A picture as it grows.
pub struct Svg {
    /// Its text.
    pub text: String,
}

impl Svg {
    pub fn raw(&mut self, text: &str) {
        self.text.push_str(text);
    }

    pub fn attribute(&mut self, name: &str, value: &str) {
        self.raw(" ");
        self.raw(name);
        self.raw("=\"");
        self.escaped(value);
        self.raw("\"");
    }

    /// Writes a length, set off by a blank from a number before it.
    pub fn number(&mut self, length: f32) {
        if self.text.ends_with(|last: char| last.is_ascii_digit() || last == '.') {
            self.text.push(' ');
        }
        Number(length).write(&mut self.text);
    }

    pub fn point(&mut self, Point { x, y }: Point) {
        self.number(x);
        self.number(y);
    }

    /// Begins a path of `ink`.
    pub fn path(&mut self, ink: Ink) {
        self.raw("<path class=\"");
        self.raw(class(ink));
        self.raw("\" d=\"");
    }

    /// Ends the outline of a path that is filled.
    pub fn fill(&mut self, ink: Ink) {
        self.raw("\"");
        self.colour("fill", ink);
    }

    /// Ends the outline of a path that is drawn with a pen.
    pub fn stroke(&mut self, ink: Ink, width: f32) {
        self.raw("\" fill=\"none\"");
        self.colour("stroke", ink);
        self.raw(" stroke-width=\"");
        self.number(width);
        self.raw("\"");
    }

    /// Writes what has the colour of `ink`.
    pub fn colour(&mut self, what: &str, ink: Ink) {
        self.raw(" ");
        self.raw(what);
        self.raw("=\"#");
        for part in rgb(ink) {
            for digit in [part >> 4, part & 15] {
                self.text.push(char::from_digit(digit.into(), 16).unwrap_or('0'));
            }
        }
        self.raw("\"");
    }

    /// Writes words as they stand between tags, or between quotes in them.
    pub fn escaped(&mut self, text: &str) {
        for letter in text.chars() {
            match letter {
                '&' => self.raw("&amp;"),
                '<' => self.raw("&lt;"),
                '>' => self.raw("&gt;"),
                '"' => self.raw("&quot;"),
                '\t' | '\n' | '\r' => self.raw(" "),
                // XML 1.0 has no way to write these.
                '\0'..' ' | '\u{fffe}' | '\u{ffff}' => self.raw("\u{fffd}"),
                _ => self.text.push(letter),
            }
        }
    }
}

/// The class by which a page can give `ink` another colour.
pub const fn class(ink: Ink) -> &'static str {
    match ink {
        Ink::Text => "text",
        Ink::Staff => "staff",
        Ink::Faint => "faint",
        Ink::Fall => "fall",
        Ink::Thumb => "thumb",
        Ink::Left => "left",
        Ink::Finding => "remark",
        Ink::Paper => "paper",
    }
}
