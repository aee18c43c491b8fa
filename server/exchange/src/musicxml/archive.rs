//! Compressed MusicXML (`.mxl`): a ZIP archive whose `META-INF/container.xml` names the score.

use std::borrow::Cow;
use std::io::{self, Cursor, Read, Write};

use roxmltree::Document;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use crate::{LARGEST, ReadError};

/// The text of the score in `bytes`, unpacked where it is compressed.
///
/// # Errors
/// When an archive cannot be opened or holds no score, or the text is not UTF-8 or UTF-16.
pub fn text(bytes: &[u8]) -> Result<Cow<'_, str>, ReadError> {
    if !bytes.starts_with(b"PK") {
        return decode(Cow::Borrowed(bytes));
    }
    let broken = |error: &dyn std::fmt::Display| ReadError {
        line: None,
        text: format!(
            "the compressed file cannot be opened ({error}): save it again, or save it uncompressed"
        ),
    };
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let container = entry(&mut archive, "META-INF/container.xml").map_err(|error| broken(&error))?;
    let container = decode(Cow::Owned(container))?;
    let document = Document::parse(&container).map_err(|error| broken(&error))?;
    let score = document.descendants().find_map(|node| {
        node.has_tag_name("rootfile").then(|| node.attribute("full-path")).flatten().map(str::to_owned)
    });
    let score = score.ok_or_else(|| broken(&"it names no score"))?;
    let score = entry(&mut archive, &score).map_err(|error| broken(&error))?;
    decode(Cow::Owned(score))
}

/// Where the score stands in an archive of ours, and the entry that says so.
const SCORE: &str = "score.musicxml";
const CONTAINER: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<container>\n  <rootfiles>\n    \
                         <rootfile full-path=\"score.musicxml\" media-type=\"application/vnd.recordare.musicxml+xml\"/>\n  \
                         </rootfiles>\n</container>\n";

/// `score` as a compressed score.
///
/// # Errors
/// When the archive cannot be written.
pub fn compress(score: &str) -> io::Result<Vec<u8>> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let plain = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let packed = SimpleFileOptions::default();
    // What kind of file it is stands first and unpacked, so that it is known by its first bytes (MusicXML 4.0,
    // "Compressed .mxl files").
    for (name, options, text) in [
        ("mimetype", plain, "application/vnd.recordare.musicxml"),
        ("META-INF/container.xml", packed, CONTAINER),
        (SCORE, packed, score),
    ] {
        archive.start_file(name, options).map_err(io::Error::other)?;
        archive.write_all(text.as_bytes())?;
    }
    Ok(archive.finish().map_err(io::Error::other)?.into_inner())
}

fn entry(archive: &mut ZipArchive<Cursor<&[u8]>>, name: &str) -> Result<Vec<u8>, String> {
    let file = archive.by_name(name).map_err(|error| format!("{name}: {error}"))?;
    let mut bytes = Vec::new();
    file.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|error| format!("{name}: {error}"))?;
    if bytes.len() as u64 > LARGEST {
        return Err(format!("{name} is larger than {} MB", LARGEST >> 20));
    }
    Ok(bytes)
}

fn decode(bytes: Cow<'_, [u8]>) -> Result<Cow<'_, str>, ReadError> {
    let wide = |read: fn([u8; 2]) -> u16| {
        let units = bytes.chunks_exact(2).map(|pair| read([pair[0], pair[1]]));
        char::decode_utf16(units.skip(1)).collect::<Result<String, _>>().map_err(|_| not_text())
    };
    match &bytes[..] {
        [0xFE, 0xFF, ..] => return wide(u16::from_be_bytes).map(Cow::Owned),
        [0xFF, 0xFE, ..] => return wide(u16::from_le_bytes).map(Cow::Owned),
        _ => {}
    }
    match bytes {
        Cow::Borrowed(bytes) => std::str::from_utf8(bytes).map(Cow::Borrowed).map_err(|_| not_text()),
        Cow::Owned(bytes) => String::from_utf8(bytes).map(Cow::Owned).map_err(|_| not_text()),
    }
}

fn not_text() -> ReadError {
    ReadError {
        line: None,
        text: "this is not text in UTF-8 or UTF-16: save it as MusicXML again".to_owned(),
    }
}
