use lope_syntax::{Span, Token, TokenKind};
use lope_tune::Reading;
use unicode_width::UnicodeWidthStr;

use crate::beat::Beat;
use crate::lines::{Line, LineKind};
use crate::music::{Before, befores};

/// The widest bar that others are lined up with, in columns: beyond it the page is no clearer for it.
const WIDEST: usize = 120;

/// A line with the blanks that should stand before each of its tokens; none where the writer's stay.
pub struct Measured<'l> {
    /// The line.
    pub line: &'l Line,
    /// For each token: blanks before it, the first one's being what the line is indented by.
    pub blanks: Vec<Option<usize>>,
}

/// The lines of `block`, with their bar lines in columns.
pub fn measured<'l>(text: &str, block: &'l [Line], reading: &Reading) -> Vec<Measured<'l>> {
    let lines: Vec<(&Line, Vec<Before>)> =
        block.iter().map(|line| (line, befores_of(line, reading))).collect();
    let cells = lines.iter().map(|(line, befores)| cells(text, line, befores)).collect::<Vec<_>>();
    let widths = widths(&cells);
    let pad = |(line, befores): (&'l Line, Vec<Before>), cells: Vec<Cell>| {
        let mut cells = cells.into_iter();
        let indent = if line.in_ending { 2 } else { 0 };
        let blanks = befores.iter().enumerate().map(|(at, before)| {
            let blanks = match before {
                Before::AsWritten => return None,
                Before::Blanks(blanks) => *blanks as usize,
                Before::Column(_) => cells.next()?.pad(&widths),
            };
            Some(if at == 0 { indent + blanks } else { blanks })
        });
        Measured { line, blanks: blanks.collect() }
    };
    lines.into_iter().zip(cells).map(|(line, cells)| pad(line, cells)).collect()
}

fn befores_of(line: &Line, reading: &Reading) -> Vec<Before> {
    let one = |token: &Token| match token.kind {
        TokenKind::Colon => Before::Blanks(0),
        TokenKind::Comment => Before::Blanks(2),
        _ => Before::Blanks(1),
    };
    match (line.kind, line.tokens.split_first()) {
        (_, None) => Vec::new(),
        (LineKind::Music, Some((first, _))) => {
            befores(&line.tokens, &mut Beat::new(reading, first.span.start))
        }
        (_, Some((_, rest))) => std::iter::once(Before::Blanks(0)).chain(rest.iter().map(one)).collect(),
    }
}

/// What stands between two bar lines of a line, or before its first.
struct Cell {
    /// The bar line that ends it: which of its line's, from 0.
    column: usize,
    /// How wide it is.
    width: usize,
}

impl Cell {
    /// The blanks between its end and its bar line.
    fn pad(&self, widths: &[usize]) -> usize {
        let room = widths.get(self.column).map_or(0, |widest| widest.saturating_sub(self.width));
        match (self.column, self.width) {
            // A line that opens with its bar line stands in line with those that have a pickup.
            (0, 0) if room == 0 => 0,
            _ => room + 1,
        }
    }
}

/// The cells of `line` that a bar line ends.
fn cells(text: &str, line: &Line, befores: &[Before]) -> Vec<Cell> {
    let mut cells = Vec::new();
    let mut width = 0;
    let mut end = None;
    for (token, before) in line.tokens.iter().zip(befores) {
        match before {
            Before::Column(column) => {
                cells.push(Cell { column: *column, width });
                width = 0;
                end = Some(token.span.end);
                continue;
            }
            _ if token.kind == TokenKind::BarLine => width = 0,
            Before::AsWritten => {
                let gap = Span::new(end.unwrap_or(token.span.start), token.span.start);
                width += gap.len() as usize + display_width(token.span.of(text));
            }
            // The blank after a bar line is the same in every line.
            Before::Blanks(_) if width == 0 => width = display_width(token.span.of(text)),
            Before::Blanks(blanks) => width += *blanks as usize + display_width(token.span.of(text)),
        }
        end = Some(token.span.end);
    }
    cells
}

/// How wide each column is: as its widest cell that is not too wide to line up with.
fn widths(lines: &[Vec<Cell>]) -> Vec<usize> {
    let mut widths = Vec::new();
    // Where a later line starts in the middle of a bar, what stands before a first bar line is no pickup.
    let pickup_only = lines.iter().skip(1).all(|cells| cells.first().is_none_or(|cell| cell.width == 0));
    for cell in lines.iter().flatten() {
        let fits = cell.width <= WIDEST && (cell.column > 0 || pickup_only || cell.width == 0);
        if widths.len() <= cell.column {
            widths.resize(cell.column + 1, 0);
        }
        if fits {
            widths[cell.column] = cell.width.max(widths[cell.column]);
        }
    }
    widths
}

fn display_width(text: &str) -> usize {
    if text.is_ascii() { text.len() } else { text.width() }
}
