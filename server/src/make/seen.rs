//! The forms that are seen.

use std::fs::File;
use std::io::Write;
use std::num::NonZero;
use std::ops::RangeInclusive;
use std::panic::resume_unwind;
use std::thread;

use lope_sheet::pdf::Leaves;
use lope_sheet::{Drawn, Paper, Plain, Sheet, Wishes, lay};

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
pub const WIDTHS: RangeInclusive<u16> = 24..=1000;

/// The dots to an inch that pictures can have.
pub const DOTS: RangeInclusive<u16> = 36..=1200;

impl Default for Look {
    fn default() -> Self {
        let (strokes, count) = (true, true);
        Self { paper: Paper::A4, large: false, strokes, count, findings: false, width: 72, dots: 150 }
    }
}

/// How wide a page is that is not printed, in points: as a sheet of A4 between its margins.
const SCREEN: f32 = 600.0;

/// How wide a page for a phone is, in points: a line holds about two bars.
const PHONE: f32 = 300.0;

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

/// Writes `volume` as a page for browsers.
pub fn html(volume: &Volume<'_>, file: &mut File) -> Result<(), Trouble> {
    let drawn = |piece: &Piece<'_>| Drawn {
        wide: sheet(piece, Paper::Endless(SCREEN)),
        narrow: sheet(piece, Paper::Endless(PHONE)),
    };
    let tunes: Vec<Drawn> = each(&volume.pieces, drawn);
    Ok(file.write_all(lope_sheet::html(volume.title, &tunes).as_bytes())?)
}

/// Writes `volume` as plain text.
pub fn txt(volume: &Volume<'_>, file: &mut File) -> Result<(), Trouble> {
    let written = |piece: &Piece<'_>| {
        let Look { strokes, count, width, .. } = *piece.look;
        let plain = Plain { width: width.into(), strokes, count, passage: piece.passage.cloned() };
        lope_sheet::text(piece.reading.tune(), piece.reading.music().hand, &plain)
    };
    let tunes: Vec<String> = each(&volume.pieces, written);
    Ok(file.write_all(tunes.join("\n\n").as_bytes())?)
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

fn sheets(volume: &Volume<'_>, paper: impl Fn(&Look) -> Paper + Sync) -> Vec<Sheet> {
    each(&volume.pieces, |piece| sheet(piece, paper(piece.look)))
}

/// What `make` makes of each piece, in their order, by as many threads as the machine has processors.
fn each<T: Send>(pieces: &[Piece<'_>], make: impl Fn(&Piece<'_>) -> T + Sync) -> Vec<T> {
    let threads = thread::available_parallelism().map_or(1, NonZero::get).clamp(1, pieces.len().max(1));
    let some = |pieces: &[Piece<'_>]| pieces.iter().map(&make).collect::<Vec<T>>();
    thread::scope(|scope| {
        let chunks = pieces.chunks(pieces.len().div_ceil(threads).max(1));
        let working: Vec<_> = chunks.map(|chunk| scope.spawn(|| some(chunk))).collect();
        working
            .into_iter()
            .flat_map(|done| done.join().unwrap_or_else(|error| resume_unwind(error)))
            .collect()
    })
}

fn sheet(piece: &Piece<'_>, paper: Paper) -> Sheet {
    let Look { large, strokes, count, findings, .. } = *piece.look;
    let remarks = if findings { remarks(piece.reading) } else { Vec::new() };
    let passage = piece.passage.cloned();
    let wishes = Wishes { paper, large, strokes, count, remarks, passage, ..Wishes::default() };
    lay(piece.reading.tune(), piece.reading.music().hand, &wishes)
}
