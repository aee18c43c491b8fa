//! Words into glyphs, for the writers that draw them themselves.
//!
//! The sheet's own faces come first. What they lack is looked for in further fonts, which whoever writes a
//! file may hand in; what no font has is set as boxes, and [`Fonts::missing`] says which characters those are.

mod split;

use std::collections::{BTreeSet, HashMap};
use std::ops::Range;
use std::rc::Rc;
use std::sync::Arc;

use harfrust::{Direction, FontRef, ShapeOptions, ShaperData, UnicodeBuffer};

use crate::font;
use crate::frame::{Anchor, Face, Item, Sheet, Text};

/// The bytes of a font's file.
pub type Bytes = Arc<dyn AsRef<[u8]> + Send + Sync>;

/// How wide and how high the box is that stands for a character no font has, in sizes of the face.
pub const BOX: (f32, f32) = (0.6, 0.7);

/// The fonts that words are set in: the sheet's faces, then others.
pub struct Fonts(Vec<Font>);

/// A font, from its file's bytes.
pub struct Font {
    bytes: Bytes,
    index: u32,
    shaper: ShaperData,
    em: f32,
}

impl Font {
    /// The font that is number `index` in the file; None where the bytes hold no such font.
    pub fn new(bytes: Bytes, index: u32) -> Option<Self> {
        let shaper = ShaperData::new(&FontRef::from_index((*bytes).as_ref(), index).ok()?);
        let em = f32::from(ttf_parser::Face::parse((*bytes).as_ref(), index).ok()?.units_per_em());
        Some(Self { shaper, em, bytes, index })
    }

    /// The bytes of its file and its number there.
    pub fn file(&self) -> (&Bytes, u32) {
        (&self.bytes, self.index)
    }

    /// Its tables.
    pub fn read(&self) -> Option<ttf_parser::Face<'_>> {
        ttf_parser::Face::parse((*self.bytes).as_ref(), self.index).ok()
    }

    /// Whether it has a glyph for `letter`.
    pub fn has(&self, letter: char) -> bool {
        self.read().is_some_and(|font| font.glyph_index(letter).is_some())
    }
}

/// Words that are set, in sizes of the face.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Set {
    /// How wide they are.
    pub width: f32,
    /// Their stretches from left to right.
    pub runs: Vec<Run>,
}

/// A stretch of words in one font.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The font's place among the fonts; None where no font has the characters.
    pub font: Option<usize>,
    /// The bytes of the words.
    pub range: Range<usize>,
    /// Where it starts.
    pub x: f32,
    /// What is drawn, from left to right; a box for each where there is no font.
    pub glyphs: Vec<Glyph>,
}

/// A glyph in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Glyph {
    /// Its number in the font.
    pub id: u32,
    /// How far it moves on.
    pub advance: f32,
    /// How far it is drawn from where it stands: to the right and up.
    pub offset: (f32, f32),
    /// The bytes of the words it stands for.
    pub range: Range<usize>,
}

impl Fonts {
    /// The sheet's faces.
    pub fn new() -> Self {
        let faces = [Face::Regular, Face::Bold, Face::Italic];
        Self(faces.iter().filter_map(|face| Font::new(Arc::new(font::bytes(*face)), 0)).collect())
    }

    /// The sheet's faces, then `others`.
    pub fn with(others: Vec<Font>) -> Self {
        let mut fonts = Self::new();
        fonts.0.extend(others);
        fonts
    }

    /// The fonts in their order.
    pub fn all(&self) -> &[Font] {
        &self.0
    }

    /// The characters of `sheets` that none of the fonts has.
    pub fn missing<'s>(&self, sheets: impl IntoIterator<Item = &'s Sheet>) -> BTreeSet<char> {
        let mut missing = BTreeSet::new();
        let mut met = BTreeSet::new();
        for text in sheets.into_iter().flat_map(texts) {
            for letter in text.words.chars().filter(|letter| !letter.is_ascii() && met.insert(*letter)) {
                if split::is_drawn(letter) && !self.0.iter().any(|font| font.has(letter)) {
                    missing.insert(letter);
                }
            }
        }
        missing
    }

    fn set(&self, face: Face, words: &str) -> Set {
        let mut set = Set::default();
        let fonts: Vec<usize> = std::iter::once(face as usize).chain(0..self.0.len()).collect();
        let has = |font: usize, letter: char| self.0.get(font).is_some_and(|font| font.has(letter));
        for stretch in split::stretches(words, &fonts, has) {
            let glyphs = match stretch.font.and_then(|at| self.0.get(at)) {
                Some(font) => shape(font, words, stretch.range.clone(), stretch.leftward),
                None => boxes(words, stretch.range.clone()),
            };
            let x = set.width;
            set.width += glyphs.iter().map(|glyph| glyph.advance).sum::<f32>();
            set.runs.push(Run { font: stretch.font, range: stretch.range, x, glyphs });
        }
        set
    }
}

impl Default for Fonts {
    fn default() -> Self {
        Self::new()
    }
}

/// Sets words, and remembers those that come again and again, such as frets.
pub struct Setter<'f> {
    fonts: &'f Fonts,
    known: HashMap<(Face, String), Rc<Set>>,
}

impl<'f> Setter<'f> {
    /// Sets words in `fonts`.
    pub fn new(fonts: &'f Fonts) -> Self {
        Self { fonts, known: HashMap::new() }
    }

    /// The words of `text`, and how far left of its start they begin.
    pub fn set(&mut self, text: &Text) -> (Rc<Set>, f32) {
        let key = (text.face, text.words.clone());
        let set = self.known.entry(key).or_insert_with(|| Rc::new(self.fonts.set(text.face, &text.words)));
        let back = match text.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => set.width / 2.0,
            Anchor::End => set.width,
        };
        (Rc::clone(set), back * text.size)
    }
}

fn shape(font: &Font, words: &str, range: Range<usize>, leftward: bool) -> Vec<Glyph> {
    let Ok(read) = FontRef::from_index((*font.bytes).as_ref(), font.index) else { return Vec::new() };
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(&words[range.clone()]);
    buffer.set_direction(if leftward { Direction::RightToLeft } else { Direction::LeftToRight });
    buffer.guess_segment_properties();
    let shaped = font.shaper.shaper(&read).build().shape(buffer, ShapeOptions::new());
    let starts: BTreeSet<usize> = shaped.glyph_infos().iter().map(|info| info.cluster as usize).collect();
    let ems = |units: i32| units as f32 / font.em;
    let glyph = |(info, place): (&harfrust::GlyphInfo, &harfrust::GlyphPosition)| {
        let start = info.cluster as usize;
        let end = starts.range(start + 1..).next().copied().unwrap_or(range.len());
        Glyph {
            id: info.glyph_id,
            advance: ems(place.x_advance),
            offset: (ems(place.x_offset), ems(place.y_offset)),
            range: range.start + start..range.start + end,
        }
    };
    // The font has all that is drawn; for the rest, such as control characters, it may show what it lacks.
    let placed = shaped.glyph_infos().iter().zip(shaped.glyph_positions());
    placed.filter(|(info, _)| info.glyph_id != 0).map(glyph).collect()
}

fn boxes(words: &str, range: Range<usize>) -> Vec<Glyph> {
    let letters = words[range.clone()].char_indices().filter(|(_, letter)| split::is_drawn(*letter));
    let glyph = |(at, letter): (usize, char)| Glyph {
        id: 0,
        advance: BOX.0,
        offset: (0.0, 0.0),
        range: range.start + at..range.start + at + letter.len_utf8(),
    };
    letters.map(glyph).collect()
}

/// Every text of a sheet, in its order.
fn texts(sheet: &Sheet) -> impl Iterator<Item = &Text> {
    fn walk<'s>(items: &'s [Item], found: &mut Vec<&'s Text>) {
        for item in items {
            match item {
                Item::Group(group) => walk(&group.items, found),
                Item::Text(text) => found.push(text),
                Item::Line(_) | Item::Shape(_) => {}
            }
        }
    }
    let mut found = Vec::new();
    for page in &sheet.pages {
        walk(&page.items, &mut found);
    }
    found.into_iter()
}
