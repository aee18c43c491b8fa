use lope_syntax::{Span, TokenKind};

use crate::{Entry, Page, Reading};

/// An address of the web in a field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// Where it stands, in bytes from the start of its tune's text.
    pub span: Span,
    /// The address as written.
    pub address: String,
    /// The name of its field.
    pub field: String,
}

impl Page {
    /// The addresses in the fields of the file.
    pub fn links(&self) -> impl Iterator<Item = (Entry<'_>, Link)> {
        self.entries().flat_map(|entry| entry.reading.links().into_iter().map(move |link| (entry, link)))
    }
}

impl Reading {
    fn links(&self) -> Vec<Link> {
        let mut links = Vec::new();
        let mut field = "";
        for token in self.tree().tokens() {
            let text = token.span.of(self.text());
            match token.kind {
                TokenKind::FieldName => field = text,
                TokenKind::FieldText => links.extend(addresses(text).map(|(at, address)| {
                    let start = token.span.start + at as u32;
                    let span = Span::new(start, start + address.len() as u32);
                    Link { span, address: address.to_owned(), field: field.to_owned() }
                })),
                _ => {}
            }
        }
        links
    }
}

/// The addresses in `text` with the bytes they start at, without the punctuation of the sentence around.
fn addresses(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let ends = |letter: char| letter.is_whitespace() || letter.is_control() || "<>\"`".contains(letter);
    let mut done = 0;
    std::iter::from_fn(move || {
        loop {
            let start = done + text[done..].find("http")?;
            let rest = &text[start..];
            let address = &rest[..rest.find(ends).unwrap_or(rest.len())];
            done = start + address.len().max("http".len());
            let scheme = ["https://", "http://"].into_iter().find(|scheme| address.starts_with(scheme));
            let mut address = address.trim_end_matches(['.', ',', ';', ':', '!', '?', '\'']);
            if !address.contains('(') {
                address = address.trim_end_matches(')').trim_end_matches(['.', ',']);
            }
            if scheme.is_some_and(|scheme| address.len() > scheme.len()) {
                return Some((start, address));
            }
        }
    })
}

#[cfg(test)]
mod tests {
    use crate::testing::Fixture;

    #[test]
    fn addresses_are_found_in_fields_only() {
        let fixture = Fixture::new(
            "tune: T\nsource: é🎵 (see https://example.org/a#b), http://example.org/x_(y)  # http://no\n\
             note: http:// is none, nor https, nor\thttps://\nby: https://example.org.\n\
             part A\n\"http://no\" 1:0\n\ntune: U\nrights: <https://example.org/c>\n",
        );
        let shown = fixture.page.links().map(|(entry, link)| {
            assert_eq!(fixture.text[entry.bytes(link.span)], link.address);
            format!("{}: {}", link.field, link.address)
        });
        let expected = [
            "source: https://example.org/a#b",
            "source: http://example.org/x_(y)",
            "by: https://example.org",
            "rights: https://example.org/c",
        ];
        assert_eq!(shown.collect::<Vec<_>>(), expected);
    }
}
