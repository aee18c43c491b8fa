//! The forms that are seen.

use std::fs::File;
use std::io::Write;
use std::ops::RangeInclusive;

use lope_sheet::pdf::Leaves;
use lope_sheet::{Paper, Sheet, Wishes, lay};

use super::letters::fonts;
use super::remarks::remarks;
use super::{Piece, Trouble, Volume};

/// How tunes are shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// What they are printed on.
    pub paper: Paper,
    /// Whether they are printed large.
    pub large: bool,
    /// Whether the strokes of the right hand are shown.
    pub strokes: bool,
    /// Whether the count is shown.
    pub count: bool,
    /// Whether findings are.
    pub findings: bool,
    /// How many characters there are to a line of plain text, one of [`WIDTHS`].
    pub width: u16,
    /// How many dots there are to an inch of a picture, one of [`DOTS`].
    pub dots: u16,
}

/// The widths that plain text can have.
pub const WIDTHS: RangeInclusive<u16> = 20..=1000;

/// The dots to an inch that pictures can have.
pub const DOTS: RangeInclusive<u16> = 36..=1200;

impl Default for Look {
    fn default() -> Self {
        let (strokes, count) = (true, true);
        Self { paper: Paper::A4, large: false, strokes, count, findings: false, width: 80, dots: 150 }
    }
}

/// How wide a page is that is not printed, in points: as a sheet of A4 between its margins.
const SCREEN: f32 = 600.0;

/// Writes `volume` as a PDF document.
pub fn pdf(volume: &Volume<'_>, file: &mut File) -> Result<(), Trouble> {
    let sheets = sheets(volume, |look| look.paper);
    let fonts = fonts(&sheets, volume.tell);
    let author = match &volume.pieces[..] {
        [piece] => piece.reading.tune().header.by.as_deref(),
        _ => None,
    };
    let leaves = Leaves { title: volume.title, author, sheets: &sheets, contents: sheets.len() > 1 };
    let bytes = lope_sheet::pdf::pdf(&leaves, &fonts).map_err(|error| Trouble::Piece(error.0))?;
    Ok(file.write_all(&bytes)?)
}

/// Writes `piece` as an SVG picture.
pub fn svg(piece: &Piece<'_>, file: &mut File) -> Result<(), Trouble> {
    let sheet = sheet(piece, Paper::Endless(SCREEN));
    for page in &sheet.pages {
        file.write_all(lope_sheet::svg(&sheet, page).as_bytes())?;
    }
    Ok(())
}

/// Writes `piece` as a PNG picture.
pub fn png(piece: &Piece<'_>, file: &mut File) -> Result<(), Trouble> {
    let sheet = sheet(piece, Paper::Endless(SCREEN));
    let fonts = fonts(std::slice::from_ref(&sheet), piece.tell);
    let dots = f32::from(piece.look.dots);
    let bytes = lope_sheet::png::png(&sheet, dots, &fonts).map_err(|_| {
        let how = "choose fewer bars with --part and --bars, fewer dots with --dots, or make a .pdf of it";
        Trouble::Piece(format!("it is too long for one picture: {how}"))
    })?;
    Ok(file.write_all(&bytes)?)
}

fn sheets(volume: &Volume<'_>, paper: impl Fn(&Look) -> Paper) -> Vec<Sheet> {
    volume.pieces.iter().map(|piece| sheet(piece, paper(piece.look))).collect()
}

fn sheet(piece: &Piece<'_>, paper: Paper) -> Sheet {
    let Look { large, strokes, count, findings, .. } = *piece.look;
    let remarks = if findings { remarks(piece.reading) } else { Vec::new() };
    let wishes = Wishes { paper, large, strokes, count, remarks };
    lay(piece.reading.tune(), piece.reading.music().hand, &wishes)
}
