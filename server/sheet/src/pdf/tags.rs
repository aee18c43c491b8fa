//! What a page's items are to who does not see them.
//!
//! Titles are headings and other words paragraphs; a bar is a figure that says what is played in it; what is
//! the same on every page, and lines that nothing is said of, are passed over.

use std::num::NonZeroU16;

use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, SpanTag, Tag, TagGroup, TagKind};

use super::draw::{self, Pen};
use crate::frame::{Group, Item, Page, Part, Text};

/// The heading of a tune.
pub struct Heading {
    /// What it says.
    pub title: String,
    /// 1 for the highest.
    pub level: u16,
}

/// Draws `page` and puts what it holds into `section`.
pub fn page(
    page: &Page,
    heading: &Heading,
    section: &mut TagGroup,
    pen: &mut Pen<'_>,
    surface: &mut Surface<'_>,
) {
    let mut reader = Reader { heading: Some(heading), pen, surface };
    reader.loose(&page.items, section);
}

/// Draws `text` as one piece of `group`.
pub fn words(text: &Text, group: &mut TagGroup, pen: &mut Pen<'_>, surface: &mut Surface<'_>) {
    let mut reader = Reader { heading: None, pen, surface };
    reader.content(std::slice::from_ref(&Item::Text(text.clone())), group);
}

/// Draws `items` as what is passed over.
pub fn passed_over(items: &[Item], kind: ArtifactType, pen: &mut Pen<'_>, surface: &mut Surface<'_>) {
    let mut reader = Reader { heading: None, pen, surface };
    reader.artifact(items, kind);
}

struct Reader<'r, 'f, 's> {
    /// Until it has been met.
    heading: Option<&'r Heading>,
    pen: &'r mut Pen<'f>,
    surface: &'r mut Surface<'s>,
}

impl Reader<'_, '_, '_> {
    /// Items among which there are groups of every kind.
    fn loose(&mut self, items: &[Item], parent: &mut TagGroup) {
        for item in items {
            match item {
                Item::Group(group) => self.group(group, parent),
                Item::Text(_) => self.under(Tag::P, std::slice::from_ref(item), parent),
                Item::Line(_) | Item::Shape(_) => {
                    self.artifact(std::slice::from_ref(item), ArtifactType::Layout)
                }
            }
        }
    }

    fn group(&mut self, group: &Group, parent: &mut TagGroup) {
        let reading = Some(group.reading.clone()).filter(|reading| !reading.is_empty());
        match group.part {
            Part::Heading => self.header(&group.items, parent),
            Part::System => {
                let mut system = TagGroup::new(Tag::Div);
                self.loose(&group.items, &mut system);
                parent.push(system);
            }
            Part::Bar(_) if reading.is_some() => self.under(Tag::Figure(reading), &group.items, parent),
            Part::Finding(_) => self.under(Tag::Note.with_alt_text(reading), &group.items, parent),
            Part::Bar(_) | Part::Event(_) | Part::Count(_) => self.under(Tag::P, &group.items, parent),
            Part::Footing => self.artifact(&group.items, ArtifactType::Footer),
        }
    }

    /// The first words above the music are the title.
    fn header(&mut self, items: &[Item], parent: &mut TagGroup) {
        for item in items {
            let words = matches!(item, Item::Text(_));
            match self.heading.take_if(|_| words) {
                Some(Heading { title, level }) => {
                    let level = NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN);
                    self.under(Tag::Hn(level, Some(title.clone())), std::slice::from_ref(item), parent);
                }
                None => self.loose(std::slice::from_ref(item), parent),
            }
        }
    }

    fn under(&mut self, tag: impl Into<TagKind>, items: &[Item], parent: &mut TagGroup) {
        let mut group = TagGroup::new(tag);
        self.content(items, &mut group);
        parent.push(group);
    }

    /// Draws `items` as one piece of content, but for characters that no font has: a piece of its own says
    /// which they are.
    fn content(&mut self, items: &[Item], group: &mut TagGroup) {
        let mut piece = self.surface.start_tagged(ContentTag::Other);
        let mut apart =
            |surface: &mut Surface<'_>, characters: &str, draw: &mut dyn FnMut(&mut Surface<'_>)| {
                surface.end_tagged();
                group.push(piece);
                let span = SpanTag::empty().with_actual_text(Some(characters));
                group.push(surface.start_tagged(ContentTag::Span(span)));
                draw(surface);
                surface.end_tagged();
                piece = surface.start_tagged(ContentTag::Other);
            };
        draw_all(items, self.pen, self.surface, &mut apart);
        self.surface.end_tagged();
        group.push(piece);
    }

    fn artifact(&mut self, items: &[Item], kind: ArtifactType) {
        self.surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(kind)));
        draw_all(items, self.pen, self.surface, &mut |surface, _, draw| draw(surface));
        self.surface.end_tagged();
    }
}

/// Draws by its second argument, what stands for the characters that are its first.
type Apart<'a> = dyn FnMut(&mut Surface<'_>, &str, &mut dyn FnMut(&mut Surface<'_>)) + 'a;

fn draw_all(items: &[Item], pen: &mut Pen<'_>, surface: &mut Surface<'_>, apart: &mut Apart<'_>) {
    for item in items {
        match item {
            Item::Group(group) => draw_all(&group.items, pen, surface, apart),
            Item::Line(line) => draw::line(surface, line),
            Item::Shape(shape) => draw::shape(surface, shape),
            Item::Text(text) => {
                let (set, back) = pen.setter.set(text);
                for run in &set.runs {
                    match run.font {
                        Some(_) => pen.run(surface, text, back, run),
                        None => apart(surface, &text.words[run.range.clone()], &mut |surface| {
                            pen.run(surface, text, back, run);
                        }),
                    }
                }
            }
        }
    }
}
