//! Sheets by hand.

use crate::frame::{Anchor, Face, Group, Ink, Item, Page, Part, Point, Sheet, Text};

/// A sheet of one page of A4 with `items` in a bar.
pub fn sheet(title: &str, items: Vec<Item>) -> Sheet {
    let bar = Item::Group(Group { part: Part::Bar(0), reading: "bar 1".to_owned(), items });
    let page = Page { width: 595.28, height: 841.89, items: vec![bar] };
    Sheet { title: title.to_owned(), pages: vec![page], ..Sheet::default() }
}

/// Words at 100 by 100 points.
pub fn words(words: &str) -> Item {
    let at = Point { x: 100.0, y: 100.0 };
    let (anchor, face, ink) = (Anchor::Start, Face::Regular, Ink::Text);
    Item::Text(Text { at, anchor, face, size: 10.0, ink, words: words.to_owned() })
}
