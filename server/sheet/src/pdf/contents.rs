//! The table of contents that a book starts with.

use std::num::NonZeroU16;

use krilla::Document;
use krilla::annotation::{Annotation, LinkAnnotation, Target};
use krilla::destination::XyzDestination;
use krilla::geom::{Point, Rect};
use krilla::tagging::{ArtifactType, Tag, TagGroup};

use super::{Book, Leaves, Unwritable, named, settings, tags};
use crate::frame::{self, Anchor, Face, Ink, Item, Line, Page, Text};
use crate::glyphs::Setter;

/// From the edge of the page to the words.
const MARGIN: f32 = 56.0;
/// The size of the book's name.
const TITLE: f32 = 22.0;
/// The size of its tunes' names.
const ENTRY: f32 = 11.0;
/// From one line to the next.
const STEP: f32 = 18.0;
/// From the top of the page to the first line: below the book's name.
const TOP: f32 = MARGIN + TITLE + 30.0;

/// A line of the table.
struct Row {
    title: Text,
    number: Text,
    rule: Item,
    area: Option<Rect>,
    /// The page it leads to, counted from 0.
    to: usize,
}

impl Book<'_> {
    /// Adds the table of contents.
    pub(super) fn contents(
        &mut self,
        document: &mut Document,
        leaves: &Leaves<'_>,
    ) -> Result<(), Unwritable> {
        let Some(page) = leaves.sheets.iter().flat_map(|sheet| &sheet.pages).next() else { return Ok(()) };
        let page = Page { width: page.width, height: page.height, items: Vec::new() };
        let mut table = TagGroup::new(Tag::TOC);
        for rows in rows(leaves, &page, &mut self.pen.setter) {
            let mut leaf = document.start_page_with(settings(&page)?);
            let mut surface = leaf.surface();
            if self.pages == 0 {
                let mut heading =
                    TagGroup::new(Tag::Hn(NonZeroU16::MIN, Some(named(leaves.title).to_owned())));
                let title = name(leaves.title, &page, &mut self.pen.setter);
                tags::words(&title, &mut heading, &mut self.pen, &mut surface);
                self.tags.push(heading);
            }
            let mut links = Vec::new();
            for row in rows {
                let mut link = TagGroup::new(Tag::Link);
                tags::words(&row.title, &mut link, &mut self.pen, &mut surface);
                tags::passed_over(
                    std::slice::from_ref(&row.rule),
                    ArtifactType::Layout,
                    &mut self.pen,
                    &mut surface,
                );
                tags::words(&row.number, &mut link, &mut self.pen, &mut surface);
                links.push((link, row));
            }
            surface.finish();
            for (mut link, row) in links {
                if let Some(area) = row.area {
                    let to = XyzDestination::new(row.to, Point::from_xy(0.0, 0.0));
                    let to = LinkAnnotation::new(area, Target::Destination(to.into()));
                    link.push(leaf.add_tagged_annotation(Annotation::new_link(to, Some(row.title.words))));
                }
                table.push(TagGroup::with_children(Tag::TOCI, vec![link.into()]));
            }
            self.pages += 1;
        }
        self.tags.push(table);
        Ok(())
    }
}

/// The lines of each page of the table.
fn rows(leaves: &Leaves<'_>, page: &Page, setter: &mut Setter<'_>) -> Vec<Vec<Row>> {
    let most = (((page.height - TOP - MARGIN) / STEP) as usize).max(1);
    let mut next = leaves.sheets.len().div_ceil(most);
    let mut row = |at: usize, sheet: &frame::Sheet| {
        let to = next;
        next += sheet.pages.len();
        row(&sheet.title, to, TOP + STEP * at as f32, page, setter)
    };
    let pages = leaves.sheets.chunks(most);
    pages.map(|sheets| sheets.iter().enumerate().map(|(at, sheet)| row(at, sheet)).collect()).collect()
}

/// A line of the table, whose baseline is at `y`.
fn row(title: &str, to: usize, y: f32, page: &Page, setter: &mut Setter<'_>) -> Row {
    let right = page.width - MARGIN;
    let mut number = words((to + 1).to_string(), Face::Regular, ENTRY, right, y);
    number.anchor = Anchor::End;
    let numbered = right - setter.set(&number).1 - ENTRY / 2.0;
    let title =
        shortened(words(named(title).to_owned(), Face::Regular, ENTRY, MARGIN, y), numbered - 20.0, setter);
    let from = MARGIN + setter.set(&title).0.width * ENTRY + ENTRY / 2.0;
    let point = |x: f32| frame::Point { x, y: y - 0.5 };
    let rule = Line { from: point(from), to: point(numbered.max(from)), width: 0.3, ink: Ink::Staff };
    let area = Rect::from_ltrb(MARGIN, y - ENTRY, right, y + STEP - ENTRY);
    Row { title, number, rule: Item::Line(rule), area, to }
}

/// The name of the book.
fn name(title: &str, page: &Page, setter: &mut Setter<'_>) -> Text {
    let name = words(named(title).to_owned(), Face::Bold, TITLE, MARGIN, MARGIN + TITLE);
    shortened(name, page.width - MARGIN, setter)
}

fn words(words: String, face: Face, size: f32, x: f32, y: f32) -> Text {
    Text { at: frame::Point { x, y }, anchor: Anchor::Start, face, size, ink: Ink::Text, words }
}

/// `text`, or as much of its start as ends before `right`.
fn shortened(mut text: Text, right: f32, setter: &mut Setter<'_>) -> Text {
    let whole = std::mem::take(&mut text.words);
    let letters = whole.chars().count();
    let fits = |kept: usize, setter: &mut Setter<'_>, text: &mut Text| {
        let start: String = whole.chars().take(kept).collect();
        text.words = if kept == letters { start } else { format!("{}…", start.trim_end()) };
        text.at.x + setter.set(text).0.width * text.size <= right
    };
    let mut kept = letters;
    while !fits(kept, setter, &mut text) && kept > 0 {
        // Far too long a title is halved until it is near.
        kept -= (kept / 8).max(1);
    }
    text
}
