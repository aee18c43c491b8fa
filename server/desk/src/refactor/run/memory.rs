//! What a run was before, in a comment above its line: `# straight: 3:0- 2:0 t`. So it can be taken back as it
//! was, by whoever opens the file and whenever.

use lope_rules::Edit;
use lope_syntax::{Span, TokenKind};

use crate::refactor::scene::Scene;

/// What such a comment starts with.
const LABEL: &str = "# straight:";

/// What a comment remembers, and the line it is on, its line break included.
pub struct Memory {
    pub straight: String,
    pub line: Span,
}

/// The edit that has the text of `span` remembered above its line.
pub fn remember(scene: &Scene<'_>, span: Span) -> Edit {
    let tokens = scene.tokens_in(span).iter();
    let words = tokens.map(|token| match token.kind {
        TokenKind::LineBreak => "\n",
        TokenKind::Comment => "",
        _ => token.span.of(scene.text()),
    });
    let straight: String = words.collect();
    let lines: Vec<&str> = straight.split('\n').map(|line| line.trim_matches([' ', '\t'])).collect();
    let (at, line) = (block_above(scene, span.start), scene.reading.line_break());
    Edit::insert(at, format!("{LABEL} {}{line}", lines.join("  ")))
}

/// What the comments above the line of the byte at `at` remember, the nearest last.
pub fn memories(scene: &Scene<'_>, at: u32) -> Vec<Memory> {
    let block = Span::new(block_above(scene, at), line_start(scene, at));
    let mut memories = Vec::new();
    let mut start = block.start;
    for line in block.of(scene.text()).split_inclusive(['\n', '\r']) {
        let span = Span::new(start, start + line.len() as u32);
        start = span.end;
        match line.trim().strip_prefix(LABEL) {
            Some(straight) => memories.push(Memory { straight: straight.trim().to_owned(), line: span }),
            // The line feed of a carriage return before it.
            None if line == "\n" => {
                if let Some(last) =
                    memories.last_mut().filter(|last: &&mut Memory| last.line.end == span.start)
                {
                    last.line = last.line.cover(span);
                }
            }
            None => {}
        }
    }
    memories
}

/// Where the comment lines straight above the line of the byte at `at` begin; that line itself where there
/// are none.
fn block_above(scene: &Scene<'_>, at: u32) -> u32 {
    let mut start = line_start(scene, at);
    while start > 0 {
        let above = line_start(scene, before_break(scene, start));
        let line = Span::new(above, start).of(scene.text());
        if !line.trim_start().starts_with('#') {
            return start;
        }
        start = above;
    }
    start
}

/// Where the line break before the line that starts at `start` stands.
fn before_break(scene: &Scene<'_>, start: u32) -> u32 {
    let text = &scene.text()[..start as usize];
    let text = text.strip_suffix("\r\n").or(text.strip_suffix(['\n', '\r'])).unwrap_or(text);
    text.len() as u32
}

fn line_start(scene: &Scene<'_>, at: u32) -> u32 {
    scene.text()[..at as usize].rfind(['\n', '\r']).map_or(0, |found| found as u32 + 1)
}
