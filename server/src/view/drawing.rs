//! A tune drawn for the page.

use std::ops::RangeInclusive;

use lope_desk::Reading;
use lope_sheet::{Paper, Remark, Wishes, lay, svg};
use serde::Serialize;

/// How wide a page can be, in points.
const WIDTHS: RangeInclusive<u16> = 200..=4000;

/// A drawing.
#[derive(Serialize)]
pub struct Drawing {
    /// Each of its pages, as SVG.
    pages: Vec<String>,
    /// For each bar in the order of playing, the number of the bar as it is drawn; none where it is not.
    drawn: Vec<Option<u32>>,
}

/// Draws `reading` for a page `width` points wide, with `marks` where they belong. What they say stands beside it.
pub fn draw(reading: &Reading, marks: Vec<Remark>, width: u16) -> Drawing {
    let width = width.clamp(*WIDTHS.start(), *WIDTHS.end());
    let paper = Paper::Endless(f32::from(width));
    let wishes = Wishes { paper, remarks: marks, spelled_out: false, ..Wishes::default() };
    let sheet = lay(reading.tune(), reading.music().hand, &wishes);
    Drawing { pages: sheet.pages.iter().map(|page| svg(&sheet, page)).collect(), drawn: sheet.played }
}
