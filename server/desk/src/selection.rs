use std::ops::Range;

use lope_syntax::{NodeId, NodeKind, Span, Token, TokenKind};
use lope_tune::Slot;

use crate::names::words;
use crate::{Page, Reading};

impl Page {
    /// What can be selected around `offset`, each stretch larger than the one before and around it: a note,
    /// its brush or brace, its group, bar, line, ending, part and tune, and at last the file. All in bytes from
    /// the start of the file.
    pub fn selections(&self, offset: usize) -> Vec<Range<usize>> {
        let size = self.size();
        let mut ranges: Vec<Range<usize>> = Vec::new();
        if let Some(entry) = self.entry_at(offset) {
            let spans = entry.reading.selections((offset - entry.offset) as u32);
            ranges.extend(spans.into_iter().map(|span| entry.bytes(span)));
        }
        if ranges.last() != Some(&(0..size)) {
            ranges.push(0..size);
        }
        ranges
    }
}

impl Reading {
    fn selections(&self, at: u32) -> Vec<Span> {
        let mut spans = Vec::new();
        let tokens = self.tree().tokens();
        if let Some(number) = token_at(tokens, at) {
            let token = tokens[number];
            if !matches!(token.kind, TokenKind::Blank | TokenKind::LineBreak) {
                spans.extend(word_at(token, self.text(), at));
                spans.push(token.span);
            }
            self.around(number as u32, at, &mut spans);
            spans.extend(line_at(tokens, number));
        }
        spans.push(Span::new(0, self.text().len() as u32));
        spans.retain(|span| span.touches(at));
        spans.sort_by_key(|span| span.len());
        // Of a line and a bar that goes on from one line to the next, only the smaller is left.
        let mut growing: Vec<Span> = Vec::new();
        for span in spans {
            if growing.last().is_none_or(|last| *last != span && last.cover(span) == span) {
                growing.push(span);
            }
        }
        growing
    }

    /// Adds the nodes that hold the token numbered `number`, and the group of slots at `at`.
    fn around(&self, number: u32, at: u32, spans: &mut Vec<Span>) {
        let tree = self.tree();
        let mut next = Some(tree.root());
        while let Some(id) = next {
            let holds = |id: &NodeId| (tree.node(*id).first..tree.node(*id).last).contains(&number);
            next = tree.children(id).find(holds);
            if id != tree.root() {
                spans.push(tree.span(id));
            }
            if tree.node(id).kind == NodeKind::Bar {
                spans.extend(self.group_at(id, at));
            }
        }
    }

    /// The slots of the group at `at` in the bar `id`, whole braces included.
    fn group_at(&self, id: NodeId, at: u32) -> Option<Span> {
        let (music, tree) = (self.music(), self.tree());
        let bar = music.source.bars.partition_point(|bar| bar.span.end < at);
        let (place, bar) = (music.source.bars.get(bar)?, music.tune.bars.get(bar)?);
        let slots = &music.source.slots[place.slots.start as usize..place.slots.end as usize];
        let number = |slot: &Slot| music.tune.frame(bar).group(slot.onset + bar.lead).number;
        let groups = slots.chunk_by(|a, b| number(a) == number(b)).filter_map(|group| {
            let whole = group.first()?.span.cover(group.last()?.span);
            let braces = tree.children(id).filter(|child| tree.node(*child).kind == NodeKind::Brace);
            let braces = braces.map(|brace| tree.span(brace)).filter(|brace| brace.overlaps(whole));
            Some(braces.fold(whole, Span::cover))
        });
        groups.rev().find(|group| group.touches(at))
    }
}

/// The token at `at`: of two that touch there the one that starts, unless only the other is more than a blank.
fn token_at(tokens: &[Token], at: u32) -> Option<usize> {
    let after = tokens.partition_point(|token| token.span.start <= at);
    let here = after.checked_sub(1)?;
    let blank = |number: usize| matches!(tokens[number].kind, TokenKind::Blank | TokenKind::LineBreak);
    let before = here.checked_sub(1).filter(|before| tokens[*before].span.end == at && blank(here));
    Some(before.filter(|before| !blank(*before)).unwrap_or(here))
}

/// The word at `at` in a token that may hold more than one.
fn word_at(token: Token, text: &str, at: u32) -> Option<Span> {
    let many = matches!(token.kind, TokenKind::FieldText | TokenKind::Comment | TokenKind::Words);
    let mut words = words(token.span.of(text), token.span.start).filter(|_| many);
    words.find(|word| word.touches(at))
}

/// The line of the token numbered `number`, without blanks at its ends.
fn line_at(tokens: &[Token], number: usize) -> Option<Span> {
    let breaks = |token: &Token| token.kind == TokenKind::LineBreak;
    let start = tokens[..number].iter().rposition(breaks).map_or(0, |at| at + 1);
    let end = tokens[number..].iter().position(breaks).map_or(tokens.len(), |at| number + at);
    let solid = |token: &&Token| token.kind != TokenKind::Blank;
    let line = tokens.get(start..end)?;
    Some(line.iter().find(solid)?.span.cover(line.iter().rfind(solid)?.span))
}

#[cfg(test)]
mod tests {
    use crate::testing::Fixture;

    /// What is selected step by step from the cursor on, up to the tune.
    #[track_caller]
    fn check(marked: &str, expected: &[&str]) {
        let fixture = Fixture::new(marked);
        let ranges = fixture.page.selections(fixture.at);
        for pair in ranges.windows(2) {
            assert!(pair[1].start <= pair[0].start && pair[0].end <= pair[1].end && pair[0] != pair[1]);
        }
        assert_eq!(ranges.last(), Some(&(0..fixture.text.len())));
        let shown: Vec<&str> = ranges.into_iter().map(|range| &fixture.text[range]).collect();
        assert_eq!(&shown[..shown.len() - 1], expected);
    }

    #[test]
    fn a_selection_grows_as_music_does() {
        let part = "part A x2\n| 2:1! t [2:0 1:0]  3:0 - -  |\n  | 1:0 |\n ending 1\n 2:0 |";
        let text = format!("tune: 🎵\nmeter: 6/8\n\n{part}\n");
        check(
            &text.replace("[2:0", "[2:$00"),
            &[
                "2:0",
                "[2:0 1:0]",
                "2:1! t [2:0 1:0]",
                "2:1! t [2:0 1:0]  3:0 - -",
                "| 2:1! t [2:0 1:0]  3:0 - -  |",
                part,
            ],
        );
        check(
            &text.replace("2:1!", "2:1$0!"),
            &[
                "!",
                "2:1!",
                "2:1! t [2:0 1:0]",
                "2:1! t [2:0 1:0]  3:0 - -",
                "| 2:1! t [2:0 1:0]  3:0 - -  |",
                part,
            ],
        );
        check(&text.replace(" 2:0 |", " 2:0$0 |"), &["2:0", "2:0 |", "ending 1\n 2:0 |", part]);
        check(
            &text.replace("  3:0 -", " $0 3:0 -"),
            &["2:1! t [2:0 1:0]  3:0 - -", "| 2:1! t [2:0 1:0]  3:0 - -  |", part],
        );
    }

    #[test]
    fn a_group_holds_whole_braces() {
        let part = "part A\n| {1:0 h2 p0}/2 2:0 t |";
        check(
            &format!("tune: T\nmeter: 4/4\n{part}\n").replace("h2", "h2$0"),
            &["h2", "{1:0 h2 p0}/2", "{1:0 h2 p0}/2 2:0 t", "| {1:0 h2 p0}/2 2:0 t |", part],
        );
    }

    #[test]
    fn fields_and_comments_grow_by_words() {
        check(
            "tune: The Two$0 Rows  # c\n",
            &["Two", "The Two Rows", "tune: The Two Rows", "tune: The Two Rows  # c"],
        );
        check("tune: T\n# So $0it is.\n", &["it", "# So it is."]);
        check("tune: T\n\n$0\n", &[]);
    }

    #[test]
    fn several_tunes_are_the_last_step_but_one() {
        check("tune: T\n\ntune: $0U\n", &["U", "tune: U", "tune: U\n"]);
        check("$0", &[]);
        assert_eq!(Fixture::new("tune: T").page.selections(99).len(), 1);
    }
}
