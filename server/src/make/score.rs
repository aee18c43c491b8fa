//! The forms that other music programs read.

use std::fs::File;
use std::io::Write;

use lope_exchange::musicxml::{self, Staff};

use super::{Piece, Trouble};

/// Writes `piece` as a MusicXML score.
pub fn musicxml(piece: &Piece<'_>, file: &mut File) -> Result<(), Trouble> {
    Ok(file.write_all(text(piece)?.as_bytes())?)
}

/// Writes `piece` as a compressed MusicXML score.
pub fn mxl(piece: &Piece<'_>, file: &mut File) -> Result<(), Trouble> {
    let packed = musicxml::compress(&text(piece)?).map_err(std::io::Error::other)?;
    Ok(file.write_all(&packed)?)
}

fn text(piece: &Piece<'_>) -> Result<String, Trouble> {
    let staves: &[Staff] = if piece.notes { &[Staff::Notes, Staff::Tablature] } else { &[Staff::Tablature] };
    let score = musicxml::write(piece.reading.tune(), staves)
        .ok_or_else(|| Trouble::Piece("there is nothing to write in it".to_owned()))?;
    for remark in score.remarks {
        (piece.tell)(&remark.to_string());
    }
    Ok(score.text)
}
