use lope_syntax::{Span, TokenKind};
use lope_tune::{SectionId, SectionKind};

use crate::{Entry, Page, Reading};

/// A named piece of a file. Its spans count bytes from the start of its tune's text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// What it is.
    pub kind: SymbolKind,
    /// `The Heron at Low Water`, `part A`, `ending 2`, `phrase lick`.
    pub name: String,
    /// What else there is to say in a few words: `6/8 jig, gDGBD`, `8 bars, x2`.
    pub detail: String,
    /// All of it.
    pub whole: Span,
    /// Its title or heading.
    pub heading: Span,
    /// What is inside it.
    pub children: Vec<Symbol>,
}

/// What a symbol names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SymbolKind {
    /// A tune.
    Tune,
    /// A part.
    Part,
    /// An ending of a part.
    Ending,
    /// A phrase.
    Phrase,
    /// A melody.
    Melody,
}

fn bars(count: usize) -> String {
    if count == 1 { "1 bar".to_owned() } else { format!("{count} bars") }
}

impl Page {
    /// The tunes of the file, each with its parts and phrases; a text without a title is none.
    pub fn symbols(&self) -> impl Iterator<Item = (Entry<'_>, Symbol)> {
        self.entries().filter_map(|entry| Some((entry, entry.reading.symbol()?)))
    }
}

impl Reading {
    /// The tune as a symbol, where it has a title line.
    fn symbol(&self) -> Option<Symbol> {
        let heading = self.title_span()?;
        let tokens = self.tree().tokens();
        let solid = |kind: TokenKind| !kind.is_trivia();
        let first = tokens.iter().find(|token| solid(token.kind))?;
        let last = tokens.iter().rfind(|token| solid(token.kind))?;
        let header = &self.tune().header;
        let meter = self.tune().frames.first().map(|frame| frame.meter.to_string());
        let detail = [meter, header.kind.clone()].into_iter().flatten().collect::<Vec<_>>().join(" ");
        Some(Symbol {
            kind: SymbolKind::Tune,
            name: header.title.clone(),
            detail: format!("{detail}, {}", header.tuning),
            whole: first.span.cover(last.span),
            heading,
            children: self.children(),
        })
    }

    /// The tune's parts, phrases and melodies, in the order of the text.
    fn children(&self) -> Vec<Symbol> {
        let mut children = self.sections(|kind| !matches!(kind, SectionKind::Ending { .. }));
        children.extend(self.written().melodies.iter().map(|melody| Symbol {
            kind: SymbolKind::Melody,
            name: format!("melody {}", melody.name()),
            detail: bars(melody.tune.bars.len()),
            whole: melody.whole(),
            heading: melody.heading(),
            children: Vec::new(),
        }));
        children.sort_by_key(|child| child.whole);
        children
    }

    /// The title in the `tune:` line, or the whole line where it is empty.
    pub fn title_span(&self) -> Option<Span> {
        let music = self.music();
        let (_, id) = music.source.fields.iter().find(|(name, _)| *name == "tune")?;
        let title = self.tree().token_of(*id, TokenKind::FieldText);
        Some(title.map_or_else(|| self.tree().span(*id), |token| token.span))
    }

    fn sections(&self, wanted: impl Fn(&SectionKind) -> bool) -> Vec<Symbol> {
        let sections = (0..).map(SectionId).zip(&self.tune().sections);
        sections.filter(|(_, section)| wanted(&section.kind)).map(|(id, _)| self.section(id)).collect()
    }

    fn section(&self, id: SectionId) -> Symbol {
        let section = &self.tune().sections[id.index()];
        let place = self.music().source.sections[id.index()];
        let bars = bars(section.bars.len());
        let (kind, name, detail) = match &section.kind {
            SectionKind::Part { times: 1, .. } => (SymbolKind::Part, format!("part {}", section.name), bars),
            SectionKind::Part { times, .. } => {
                (SymbolKind::Part, format!("part {}", section.name), format!("{bars}, x{times}"))
            }
            SectionKind::Ending { passes, .. } => {
                let passes: Vec<String> = passes.iter().map(u32::to_string).collect();
                (SymbolKind::Ending, format!("ending {}", passes.join(",")), bars)
            }
            SectionKind::Phrase => (SymbolKind::Phrase, format!("phrase {}", section.name), bars),
        };
        let children = match kind {
            SymbolKind::Part => {
                self.sections(|kind| matches!(kind, SectionKind::Ending { of, .. } if *of == id))
            }
            _ => Vec::new(),
        };
        Symbol { kind, name, detail, whole: place.whole, heading: place.heading, children }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::Settings;

    fn outline(symbol: &Symbol, text: &str, depth: usize, into: &mut Vec<String>) {
        let (heading, name, detail) = (symbol.heading.of(text), &symbol.name, &symbol.detail);
        into.push(format!("{}{name} ({detail}) {heading:?}", "  ".repeat(depth)));
        assert!(symbol.whole.start <= symbol.heading.start && symbol.heading.end <= symbol.whole.end);
        symbol.children.iter().for_each(|child| outline(child, text, depth + 1, into));
    }

    #[test]
    fn a_tune_holds_its_parts_and_phrases_and_a_part_its_endings() {
        let text =
            "tune: T  # c\nkind: jig\nmeter: 6/8\npart A x2\n@l | 1:0 |\n ending 1\n1:0 |\nphrase l\n1:0\n";
        let page = Page::read(text, &Arc::new(Settings::default()));
        let mut shown = Vec::new();
        page.symbols().for_each(|(_, symbol)| outline(&symbol, text, 0, &mut shown));
        assert_eq!(
            shown,
            [
                "T (6/8 jig, gDGBD) \"T\"",
                "  part A (2 bars, x2) \"part A x2\"",
                "    ending 1 (1 bar) \"ending 1\"",
                "  phrase l (1 bar) \"phrase l\"",
            ]
        );
    }

    #[test]
    fn words_without_a_tune_have_no_symbols() {
        let page = Page::read("hello\n", &Arc::new(Settings::default()));
        assert_eq!(page.symbols().count(), 0);
    }
}
