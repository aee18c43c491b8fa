use lope_syntax::{NodeKind, Span, TokenKind};

use crate::line::breaks;
use crate::{Entry, Page, Reading};

/// A stretch of text that can be put away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fold {
    /// What goes: from the end of the line that stays to the end of the last line, in bytes from the start
    /// of its tune's text. A line break is always in it.
    pub span: Span,
    /// What it is.
    pub kind: FoldKind,
}

/// What a fold puts away, those first that a long file can least do without.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FoldKind {
    /// A tune below its title.
    Tune,
    /// A part, ending, phrase or melody below its heading.
    Section,
    /// The fields below the title. The first of them stays, so that it and the tune do not fold at the same
    /// line.
    Header,
    /// Lines of comment below their first.
    Comments,
}

impl Page {
    /// The stretches of the file that can be put away; those of a tune are in the order of their kinds.
    pub fn folds(&self) -> impl Iterator<Item = (Entry<'_>, Fold)> {
        self.entries().flat_map(|entry| entry.reading.folds().into_iter().map(move |fold| (entry, fold)))
    }
}

impl Reading {
    fn folds(&self) -> Vec<Fold> {
        let mut folds = Vec::new();
        folds.extend(self.tune_fold());
        let sections = self.music().source.sections.iter();
        folds.extend(sections.map(|section| (FoldKind::Section, section.heading, section.whole)));
        let melodies = self.written().melodies.iter();
        folds.extend(melodies.map(|melody| (FoldKind::Section, melody.heading(), melody.whole())));
        folds.extend(self.header_fold());
        self.comment_folds(&mut folds);
        let fold = |(kind, stays, whole): (FoldKind, Span, Span)| {
            let span = Span::new(stays.end, whole.end.max(stays.end));
            (breaks(span.of(self.text()).as_bytes()) > 0).then_some(Fold { span, kind })
        };
        folds.into_iter().filter_map(fold).collect()
    }

    fn tune_fold(&self) -> Option<(FoldKind, Span, Span)> {
        let title = self.title_span()?;
        let last = self.tree().tokens().iter().rfind(|token| !token.kind.is_trivia())?;
        Some((FoldKind::Tune, title, last.span))
    }

    fn header_fold(&self) -> Option<(FoldKind, Span, Span)> {
        let tree = self.tree();
        let fields = tree.children(tree.root()).take_while(|node| tree.node(*node).kind == NodeKind::Field);
        let fields: Vec<Span> = fields.map(|field| tree.span(field)).collect();
        let title = self.title_span().map_or(0, |title| title.end);
        let below = fields.partition_point(|field| field.end <= title);
        let below = &fields[below..];
        Some((FoldKind::Header, *below.first()?, *below.last()?))
    }

    /// Adds the rows of lines that hold nothing but a comment.
    fn comment_folds(&self, folds: &mut Vec<(FoldKind, Span, Span)>) {
        let mut row: Option<(Span, Span)> = None;
        for line in self.tree().tokens().split_inclusive(|token| token.kind == TokenKind::LineBreak) {
            let blank = |kind: TokenKind| matches!(kind, TokenKind::Blank | TokenKind::LineBreak);
            let first = line.iter().find(|token| !blank(token.kind));
            row = match (first, row) {
                (Some(comment), row) if comment.kind == TokenKind::Comment => {
                    Some((row.map_or(comment.span, |(first, _)| first), comment.span))
                }
                (_, row) => {
                    folds.extend(row.map(|(first, last)| (FoldKind::Comments, first, last)));
                    None
                }
            };
        }
        folds.extend(row.map(|(first, last)| (FoldKind::Comments, first, last)));
    }
}

#[cfg(test)]
mod tests {
    use crate::breaks;
    use crate::testing::Fixture;

    #[track_caller]
    fn check(text: &str, expected: &[&str]) {
        let fixture = Fixture::new(text);
        let line = |at: usize| breaks(&fixture.text.as_bytes()[..at]) + 1;
        let shown = fixture.page.folds().map(|(entry, fold)| {
            let bytes = entry.bytes(fold.span);
            format!("{:?} {}-{}", fold.kind, line(bytes.start), line(bytes.end))
        });
        assert_eq!(shown.collect::<Vec<_>>(), expected);
    }

    const TUNE: &str = "\
# Of the harbour.
# Slow.
tune: T
kind: jig  # c
meter: 6/8

part A x2
# Here
# and here.
| 1:0 |
 ending 1
| 1:0 |
 ending 2
2:0

# Of the phrase.
# More.

phrase l # c
1:0

";

    #[test]
    fn tunes_parts_endings_phrases_headers_and_comments_fold() {
        let expected = [
            "Tune 3-20",
            "Section 7-14",
            "Section 11-12",
            "Section 13-14",
            "Section 19-20",
            "Header 4-5",
            "Comments 1-2",
            "Comments 8-9",
            "Comments 16-17",
        ];
        check(TUNE, &expected);
        check(&TUNE.replace('\n', "\r\n"), &expected);
        check(&TUNE.replace('\n', "\r"), &expected);
    }

    #[test]
    fn what_is_on_one_line_does_not_fold() {
        check("tune: T\n\n", &[]);
        check("# one\n\n# two\n", &[]);
        check("part A\nphrase B\n", &[]);
        check("", &[]);
    }

    #[test]
    fn fields_above_the_title_are_no_header_of_their_own() {
        check("meter: 6/8\ntune: T\nkind: jig\n", &["Tune 2-3"]);
        check("meter: 6/8\nkind: jig\n", &["Header 1-2"]);
    }
}
