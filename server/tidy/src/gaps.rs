use lope_syntax::Span;

use crate::columns::Measured;
use crate::lines::LineKind;
use crate::{Gap, Next};

/// The gaps of a text that should be others, gathered from its start to its end.
pub struct Gaps<'t> {
    text: &'t str,
    /// The line break that missing ones are made with: the text's first.
    line_break: &'t str,
    gaps: Vec<Gap>,
    /// Where the last solid token ended.
    end: u32,
    /// The line above: whether there is one, and whether it belongs to the heading of a part.
    above: Option<bool>,
}

impl<'t> Gaps<'t> {
    /// At the start of `text`.
    pub fn new(text: &'t str) -> Self {
        // A byte order mark is a blank that stays.
        let end = if text.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len_utf8() as u32 } else { 0 };
        Self { text, line_break: line_break_in(text).unwrap_or("\n"), gaps: Vec::new(), end, above: None }
    }

    /// Goes on over the lines of a block.
    pub fn block(&mut self, lines: &[Measured]) {
        for measured in lines {
            let mut blanks = measured.blanks.iter();
            for (at, token) in measured.line.tokens.iter().enumerate() {
                let blanks = blanks.next().copied().flatten();
                let gap = match blanks {
                    // Such a mark further down is a slip, and would be none at the very start.
                    _ if self.above.is_none() && token.span.of(self.text).starts_with(BYTE_ORDER_MARK) => {
                        None
                    }
                    _ if at == 0 => Some(self.line_start(measured, token.span.start, blanks.unwrap_or(0))),
                    blanks => blanks.map(blank),
                };
                if let Some(gap) = gap {
                    self.gap(token.span.start, gap);
                }
                self.end = token.span.end;
            }
            let line = measured.line;
            self.above = Some(line.starts_section && line.kind == LineKind::Comment);
        }
    }

    /// What should stand between the line above and `measured`, which starts at the byte `start` and is
    /// indented by `indent`.
    fn line_start(&self, measured: &Measured, start: u32, indent: usize) -> String {
        let line = measured.line;
        let blank_lines = match self.above {
            None => return blank(indent),
            // Comments straight above a heading belong to it.
            Some(true) if line.starts_section && line.blank_lines == 0 => 0,
            Some(_) if line.starts_section => 1,
            Some(_) => line.blank_lines.min(1) as usize,
        };
        self.line_break_before(start).repeat(1 + blank_lines) + &blank(indent)
    }

    /// The line break that ends the line above the byte `start`: the writer's own, where there is one.
    fn line_break_before(&self, start: u32) -> &'t str {
        line_break_in(Span::new(self.end, start).of(self.text)).unwrap_or(self.line_break)
    }

    /// Sets the gap that ends at the byte `until`.
    fn gap(&mut self, until: u32, blanks: String) {
        let span = Span::new(self.end, until);
        if span.of(self.text) != blanks {
            self.gaps.push(Gap { span, blanks });
        }
    }

    /// The gaps, with the one at the end of the text.
    pub fn end(mut self, next: Next) -> Vec<Gap> {
        let breaks = match (self.above, next) {
            (None, _) => 0,
            (_, Next::End) => 1,
            (_, Next::Tune) => 2,
        };
        let until = self.text.len() as u32;
        self.gap(until, self.line_break_before(until).repeat(breaks));
        self.gaps
    }
}

const BYTE_ORDER_MARK: char = '\u{feff}';

/// The first line break in `text`.
fn line_break_in(text: &str) -> Option<&str> {
    let first = &text[text.find(['\r', '\n'])?..];
    Some(&first[..if first.starts_with("\r\n") { 2 } else { 1 }])
}

fn blank(count: usize) -> String {
    " ".repeat(count)
}
