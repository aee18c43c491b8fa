//! What each word of a text is, as semantic tokens.
//!
//! No token goes over a line's end or overlaps another, so every client can show them.

use std::ops::Range;
use std::sync::{Arc, Mutex};

use lope_desk::{Entry, Reading, breaks};
use tower_lsp::lsp_types::{
    self as protocol, SemanticToken, SemanticTokens, SemanticTokensDelta, SemanticTokensEdit,
    SemanticTokensFullDeltaResult,
};

use super::lock;
use super::snapshot::View;

/// The tokens a client was told last: how many of each tune. What they were follows from the tunes.
#[derive(Default)]
pub struct Told(Mutex<Option<Tokens>>);

struct Tokens {
    /// The edition of the text, which is what the client calls them by.
    edition: u64,
    tunes: Vec<(Arc<Reading>, usize)>,
}

/// How many numbers a token is.
const NUMBERS: usize = 5;

/// All tokens of the file.
pub fn full(view: View<'_>) -> SemanticTokens {
    let mut writer = Writer::new(view);
    let tunes = view.page().entries().map(|entry| (Arc::clone(entry.reading), writer.tune(entry)));
    let tunes = tunes.collect();
    let result_id = remember(view, tunes);
    SemanticTokens { result_id, data: writer.tokens }
}

/// The tokens of the tunes' words that touch a range.
pub fn within(view: View<'_>, range: protocol::Range) -> SemanticTokens {
    let bytes = view.bytes(range);
    let mut writer = Writer::new(view);
    for entry in view.page().entries().take_while(|entry| entry.offset <= bytes.end) {
        let end = entry.offset + entry.reading.text().len();
        if bytes.start <= end {
            let [start, end] = [bytes.start, bytes.end].map(|at| at.clamp(entry.offset, end) - entry.offset);
            writer.words(entry, start as u32..end as u32);
        }
    }
    SemanticTokens { result_id: None, data: writer.tokens }
}

/// What has changed in the tokens since the client was told those it calls `id`; all of them where that was
/// not the last time.
pub fn delta(view: View<'_>, id: &str) -> SemanticTokensFullDeltaResult {
    let told = lock(&view.snapshot.told.0).take();
    let Some(told) = told.filter(|told| told.edition.to_string() == id) else {
        return full(view).into();
    };
    let entries: Vec<Entry<'_>> = view.page().entries().collect();
    let same = |(before, now): &(&(Arc<Reading>, usize), &Entry<'_>)| Arc::ptr_eq(&before.0, now.reading);
    let head = told.tunes.iter().zip(&entries).take_while(same).count();
    let tail = told.tunes[head..].iter().rev().zip(entries[head..].iter().rev()).take_while(same).count();
    let (kept, rest) = told.tunes.split_at(head);
    let (gone, after) = rest.split_at(rest.len() - tail);

    let mut writer = Writer::new(view);
    let count = |tunes: &[(Arc<Reading>, usize)]| tunes.iter().map(|(_, tokens)| tokens).sum::<usize>();
    // Where the last token that stays is, from which the next is counted.
    if let Some(last) = kept.iter().rposition(|(_, tokens)| *tokens > 0) {
        writer.tune(entries[last]);
        writer.tokens.clear();
    }
    let fresh = entries[head..entries.len() - tail].iter();
    let fresh: Vec<_> = fresh.map(|entry| (Arc::clone(entry.reading), writer.tune(*entry))).collect();
    let mut deleted = count(gone);
    // The first token after them is counted from the last of them.
    if let Some(next) = after.iter().position(|(_, tokens)| *tokens > 0)
        && (!gone.is_empty() || !fresh.is_empty())
    {
        let so_far = writer.tokens.len();
        writer.tune(entries[entries.len() - tail + next]);
        writer.tokens.truncate(so_far + 1);
        deleted += 1;
    }
    let edit = SemanticTokensEdit {
        start: (count(kept) * NUMBERS) as u32,
        delete_count: (deleted * NUMBERS) as u32,
        data: Some(writer.tokens).filter(|tokens| !tokens.is_empty()),
    };
    let is_needed = edit.delete_count > 0 || edit.data.is_some();
    let tunes = [kept, &fresh, after].concat();
    let result_id = remember(view, tunes);
    SemanticTokensDelta { result_id, edits: is_needed.then_some(edit).into_iter().collect() }.into()
}

/// Remembers what the client is told now, and says what it is called.
fn remember(view: View<'_>, tunes: Vec<(Arc<Reading>, usize)>) -> Option<String> {
    let edition = view.snapshot.document.edition;
    *lock(&view.snapshot.told.0) = Some(Tokens { edition, tunes });
    Some(edition.to_string())
}

/// Writes tokens, each counted from the one before.
struct Writer<'v> {
    view: View<'v>,
    tokens: Vec<SemanticToken>,
    /// Where the last token starts.
    line: u32,
    column: u32,
}

impl<'v> Writer<'v> {
    const fn new(view: View<'v>) -> Self {
        Self { view, tokens: Vec::new(), line: 0, column: 0 }
    }

    /// Writes the tokens of a tune and says how many they are.
    fn tune(&mut self, entry: Entry<'_>) -> usize {
        self.words(entry, 0..entry.reading.text().len() as u32)
    }

    /// Writes the tokens of those of a tune's words that touch `bytes`, and says how many they are.
    fn words(&mut self, entry: Entry<'_>, bytes: Range<u32>) -> usize {
        let so_far = self.tokens.len();
        let (text, features) = (entry.reading.text(), self.view.features);
        let (mut line, mut column, mut at) = (entry.line, 0, 0);
        for paint in entry.reading.paints(bytes) {
            let gap = &text[at..paint.span.start as usize];
            match gap.rfind(['\n', '\r']) {
                Some(last) => {
                    line += breaks(gap.as_bytes());
                    column = features.encoding.width(&gap[last + 1..]);
                }
                None => column += features.encoding.width(gap),
            }
            let length = features.encoding.width(paint.span.of(text));
            if let Some(look) = features.legend.look(paint) {
                self.tokens.push(SemanticToken {
                    delta_line: line - self.line,
                    delta_start: if line == self.line { column - self.column } else { column },
                    length,
                    token_type: look.kind,
                    token_modifiers_bitset: look.modifiers,
                });
                (self.line, self.column) = (line, column);
            }
            column += length;
            at = paint.span.end as usize;
        }
        self.tokens.len() - so_far
    }
}
