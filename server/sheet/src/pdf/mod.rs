//! Sheets as a PDF document: drawn with lines and outlines, fonts within it, its order and readings told to
//! who listens (tagged as ISO 14289-1, PDF/UA-1, asks), with a bookmark for every tune.

mod contents;
mod draw;
mod tags;

use krilla::configure::{Accessibility, Configuration, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::error::KrillaError;
use krilla::geom::Point;
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::tagging::{Tag, TagGroup, TagTree};
use krilla::{Document, SerializeSettings};

use crate::frame::{Page, Sheet};
use crate::glyphs::Fonts;
use draw::Pen;

/// What a document holds, and what it says of itself.
pub struct Leaves<'l> {
    /// What it is called.
    pub title: &'l str,
    /// Who made it, where that is known.
    pub author: Option<&'l str>,
    /// Its tunes, in their order.
    pub sheets: &'l [Sheet],
    /// Whether a table of contents comes first.
    pub contents: bool,
}

/// Why there is no document: lower case and without a stop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unwritable(pub String);

/// The document of `leaves`, in the bytes of a PDF 1.7 file.
///
/// # Errors
/// Where a page has no size, one of the fonts cannot be embedded, or the document grows over the limits of PDF.
pub fn pdf(leaves: &Leaves<'_>, fonts: &Fonts) -> Result<Vec<u8>, Unwritable> {
    let standard = ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1).finish();
    let made = match document(leaves, fonts, standard.unwrap_or_default())?.finish() {
        // What a strange font from elsewhere lacks is no reason to print nothing.
        Err(KrillaError::Validation(_)) => document(leaves, fonts, Configuration::default())?.finish(),
        made => made,
    };
    made.map_err(|error| Unwritable(format!("no PDF can be made of it: {error}")))
}

fn document(
    leaves: &Leaves<'_>,
    fonts: &Fonts,
    configuration: Configuration,
) -> Result<Document, Unwritable> {
    let mut document =
        Document::new_with(SerializeSettings { configuration, ..SerializeSettings::default() });
    let mut book = Book {
        pen: Pen::new(fonts),
        tags: TagTree::new().with_lang(Some(LANGUAGE.to_owned())),
        outline: Outline::new(),
        pages: 0,
    };
    if leaves.contents {
        book.contents(&mut document, leaves)?;
    }
    for sheet in leaves.sheets {
        book.sheet(&mut document, sheet, if leaves.contents { 2 } else { 1 })?;
    }
    document.set_metadata(metadata(leaves));
    document.set_outline(book.outline);
    document.set_tag_tree(book.tags);
    Ok(document)
}

/// What bars are read out in.
const LANGUAGE: &str = "en";

fn metadata(leaves: &Leaves<'_>) -> Metadata {
    let metadata = Metadata::new()
        .title(named(leaves.title).to_owned())
        .language(LANGUAGE.to_owned())
        .creator("Lope".to_owned());
    match leaves.author {
        Some(author) => metadata.authors(vec![author.to_owned()]),
        None => metadata,
    }
}

/// A title, or what stands for one: documents and bookmarks must have a name.
fn named(title: &str) -> &str {
    if title.trim().is_empty() { "Untitled" } else { title }
}

fn settings(page: &Page) -> Result<PageSettings, Unwritable> {
    PageSettings::from_wh(page.width, page.height)
        .ok_or_else(|| Unwritable("a page of it has no size".to_owned()))
}

/// A document as it grows.
struct Book<'f> {
    pen: Pen<'f>,
    tags: TagTree,
    outline: Outline,
    pages: usize,
}

impl Book<'_> {
    /// Adds a tune, whose title is a heading of `level`.
    fn sheet(&mut self, document: &mut Document, sheet: &Sheet, level: u16) -> Result<(), Unwritable> {
        let title = named(&sheet.title);
        let top = XyzDestination::new(self.pages, Point::from_xy(0.0, 0.0));
        self.outline.push_child(OutlineNode::new(title.to_owned(), top));
        let about = Some(sheet.about.clone()).filter(|about| !about.is_empty());
        let mut section = TagGroup::new(Tag::Section.with_alt_text(about));
        let heading = tags::Heading { title: title.to_owned(), level };
        for page in &sheet.pages {
            let mut leaf = document.start_page_with(settings(page)?);
            tags::page(page, &heading, &mut section, &mut self.pen, &mut leaf.surface());
            self.pages += 1;
        }
        self.tags.push(section);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::by_hand::{sheet, words};

    fn made(sheets: &[Sheet], contents: bool) -> String {
        let leaves = Leaves { title: "A Book", author: None, sheets, contents };
        let bytes = pdf(&leaves, &Fonts::new()).unwrap();
        let document: String = bytes.iter().map(|byte| char::from(*byte)).collect();
        assert!(
            document.contains("<pdfuaid:part>1</pdfuaid:part>"),
            "{:?} is not as it should be",
            sheets[0].title
        );
        document
    }

    #[test]
    fn a_document_says_what_it_is() {
        let document = made(&[sheet("Tin Roof", vec![words("Tin Roof"), words("2")])], false);
        assert!(document.starts_with("%PDF-1.7"));
        for said in ["/Lang(en)", "/StructTreeRoot", "/Outlines", "/FontFile2"] {
            assert!(document.contains(said), "{said}");
        }
        assert_eq!(document.matches("/MediaBox").count(), 1);
    }

    #[test]
    fn the_same_sheets_make_the_same_bytes() {
        let sheets = [sheet("Tin Roof", vec![words("Tin Roof")]), sheet("Wet Step", vec![words("Wet Step")])];
        assert_eq!(made(&sheets, true), made(&sheets, true));
    }

    #[test]
    fn contents_lead_to_every_tune() {
        let sheets: Vec<Sheet> =
            (1..=100).map(|number| sheet(&format!("Tune {number}"), vec![words("x")])).collect();
        let document = made(&sheets, true);
        // 38 lines to a page of A4.
        assert_eq!(document.matches("/MediaBox").count(), 103);
        assert_eq!(document.matches("/Subtype/Link").count(), 100);
    }

    #[test]
    fn any_words_can_be_written() {
        for title in ["", " ", "\n\u{7}", "潮汐", "שיר 🎵 e\u{301}\u{1ab0}", &"long ".repeat(400)] {
            let sheets = [sheet(title, vec![words(title), words("2")])];
            made(&sheets, false);
            made(&sheets, true);
        }
    }
}
