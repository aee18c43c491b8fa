//! Hovers as text.

use std::sync::Arc;

use super::Hover;
use crate::{Page, Settings};

/// What is said of the first of `marked` in `text`, a whole file.
pub fn hover(text: &str, marked: &str) -> Hover {
    let at = text.find(marked).unwrap_or_else(|| panic!("{marked:?} is not in {text:?}"));
    let page = Page::read(text, &Arc::new(Settings::default()));
    page.hover(at).unwrap_or_else(|| panic!("nothing is said of {marked:?}")).1
}

/// Checks what is said of the first of `marked` in `text`, a line each: what it is about and the title, then
/// the lines, then the drawing.
#[track_caller]
pub fn check(text: &str, marked: &str, expected: &[&str]) {
    let Hover { span, title, lines, drawing } = hover(text, marked);
    let about = format!("{:?} {title}", span.of(text));
    assert_eq!([vec![about], lines, drawing].concat(), expected);
}

/// A jig with `music` as its only part.
pub fn jig(music: &str) -> String {
    format!("tune: T\nmeter: 6/8\n\npart A\n{music}\n")
}

/// A reel with `music` as its only part.
pub fn reel(music: &str) -> String {
    format!("tune: T\nmeter: 4/4\n\npart A\n{music}\n")
}
