use crate::{Entry, Page, Symbol};

/// A tune, part or phrase that answers a search.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// The tune, part or phrase.
    pub symbol: Symbol,
    /// The title of the tune a part or phrase is in.
    pub inside: Option<String>,
}

impl Page {
    /// The tunes, parts and phrases of the file whose names fit `query`.
    pub fn search(&self, query: &str) -> impl Iterator<Item = (Entry<'_>, Found)> {
        self.symbols().flat_map(move |(entry, mut tune)| {
            let children = std::mem::take(&mut tune.children).into_iter();
            let inside = Some(tune.name.clone());
            let children = children.map(move |symbol| Found { symbol, inside: inside.clone() });
            let found = std::iter::once(Found { symbol: tune, inside: None }).chain(children);
            found.filter(|found| fits(&found.symbol.name, query)).map(move |found| (entry, found))
        })
    }
}

/// Whether the letters of `query` stand in `name` in their order, others between them, great or small: editors
/// narrow down further what they show.
pub fn fits(name: &str, query: &str) -> bool {
    let mut letters = name.chars().flat_map(char::to_lowercase);
    let wanted = query.chars().filter(|letter| !letter.is_whitespace()).flat_map(char::to_lowercase);
    wanted.into_iter().all(|wanted| letters.any(|letter| letter == wanted))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Fixture;

    #[test]
    fn names_fit_by_their_letters() {
        for query in ["", "heron", "HLW", "the low", "é🎵"] {
            assert!(fits("The Heron at Low Water É🎵", query), "{query}");
        }
        for query in ["wlh", "heronn", "x"] {
            assert!(!fits("The Heron at Low Water", query), "{query}");
        }
    }

    #[test]
    fn a_search_finds_tunes_parts_and_phrases() {
        let fixture = Fixture::new(
            "tune: First\npart A\n1:0 |\nending 1\n1:0\nphrase turn\n1:0\n\ntune: Turn\npart B\n",
        );
        let found = |query: &str| {
            let show = |(entry, found): (Entry<'_>, Found)| {
                let name = &fixture.text[entry.bytes(found.symbol.heading)];
                format!("{name} in {}", found.inside.as_deref().unwrap_or("the file"))
            };
            fixture.page.search(query).map(show).collect::<Vec<_>>()
        };
        assert_eq!(found("turn"), ["phrase turn in First", "Turn in the file"]);
        assert_eq!(found("part"), ["part A in First", "part B in Turn"]);
        assert_eq!(found("").len(), 5);
        assert_eq!(found("ending"), [""; 0]);
    }
}
