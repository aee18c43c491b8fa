//! What is sung to the notes.

use roxmltree::Node;

use super::xml::text;

/// The verse that is read: the first there is.
#[derive(Default)]
pub struct Lyrics {
    verse: Option<String>,
}

impl Lyrics {
    /// The syllable sung to the note at `node`, with a hyphen where its word goes on.
    pub fn at(&mut self, node: Node<'_, '_>) -> Option<String> {
        let first = lyrics(node).next()?;
        let verse = self.verse.get_or_insert_with(|| verse(first).to_owned());
        let lyric = lyrics(node).find(|lyric| self::verse(*lyric) == verse)?;
        // Two syllables may share a note; what stands between them says how they are joined.
        let parts = lyric.children().filter(|part| part.has_tag_name("text") || part.has_tag_name("elision"));
        let sung: String = parts
            .map(|part| part.text().unwrap_or(if part.has_tag_name("elision") { " " } else { "" }))
            .collect();
        let goes_on = matches!(last(lyric), Some("begin" | "middle"));
        let sung = sung.trim().to_owned();
        (!sung.is_empty()).then(|| if goes_on && !sung.ends_with('-') { sung + "-" } else { sung })
    }

    /// Whether the note at `node` has other verses than the one that is read.
    pub fn has_others(&self, node: Node<'_, '_>) -> bool {
        lyrics(node).any(|lyric| self.verse.as_deref() != Some(verse(lyric)))
    }
}

fn lyrics<'a, 'i>(node: Node<'a, 'i>) -> impl Iterator<Item = Node<'a, 'i>> {
    node.children().filter(|child| child.has_tag_name("lyric") && text(*child, "text").is_some())
}

fn verse<'a>(lyric: Node<'a, '_>) -> &'a str {
    lyric.attribute("number").unwrap_or("1")
}

/// How the last syllable of `lyric` is joined to the next.
fn last<'a>(lyric: Node<'a, '_>) -> Option<&'a str> {
    lyric.children().rfind(|child| child.has_tag_name("syllabic"))?.text()
}
