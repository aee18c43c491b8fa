//! A score as an XML document.

use lope_tune::Header;
use roxmltree::{Document, Node, ParsingOptions};

use super::archive;
use super::xml::{child, line, text};
use crate::label::one_line;
use crate::{ReadError, Remark};

/// The most elements of a score that are read: a guard against files made to fill the memory.
const MOST_NODES: u32 = 10_000_000;

/// What `read` makes of the root of the score in `bytes`, compressed or not.
///
/// # Errors
/// When it is not partwise MusicXML, or `read` has one.
pub fn with<T>(
    bytes: &[u8],
    read: impl FnOnce(Node<'_, '_>) -> Result<T, ReadError>,
) -> Result<T, ReadError> {
    let text = archive::text(bytes)?;
    // A document type may be named. What is outside the file is never fetched, and what it declares is
    // followed only so far.
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(&text, options).map_err(|error| ReadError {
        line: Some(error.pos().row),
        text: format!("this is not well-formed XML: {error}"),
    })?;
    let root = document.root_element();
    if !root.has_tag_name("score-partwise") {
        let name = root.tag_name().name();
        let text =
            format!("the root is `{name}`, and only `score-partwise` is read: save it as partwise MusicXML");
        return Err(ReadError { line: Some(line(root)), text });
    }
    read(root)
}

/// The first part with notes that is `wanted`, and a remark where there are others.
///
/// # Errors
/// When no part has notes.
pub fn part<'a, 'i>(
    root: Node<'a, 'i>,
    wanted: impl Fn(Node<'a, 'i>) -> bool,
) -> Result<(Node<'a, 'i>, Vec<Remark>), ReadError> {
    let parts: Vec<Node<'_, '_>> = root.children().filter(|node| node.has_tag_name("part")).collect();
    let has_notes = |part: &Node<'_, '_>| part.descendants().any(|node| node.has_tag_name("pitch"));
    let part = parts.iter().copied().find(|part| has_notes(part) && wanted(*part));
    let part = part.ok_or_else(|| {
        let is_drums = root.descendants().any(|node| node.has_tag_name("unpitched"));
        let text = if is_drums {
            "there are drums and no notes in this score: choose a file with a melody"
        } else {
            "there is no note in this score: choose a file with a melody"
        };
        ReadError { line: Some(line(root)), text: text.to_owned() }
    })?;
    let mut remarks = Vec::new();
    if parts.len() > 1 {
        let number = parts.iter().position(|it| *it == part).map_or(1, |at| at + 1);
        let text = format!("of {} parts number {number} is read", parts.len());
        remarks.push(Remark { place: None, text });
    }
    Ok((part, remarks))
}

/// What the score says of itself.
pub fn header(root: Node<'_, '_>) -> Header {
    let title = child(root, "work").and_then(|work| text(work, "work-title"));
    let title = title.or_else(|| text(root, "movement-title")).filter(|title| !title.is_empty());
    let says = child(root, "identification");
    let field =
        |name: &str| says.and_then(|says| text(says, name)).map(one_line).filter(|text| !text.is_empty());
    let creators =
        says.into_iter().flat_map(|says| says.children().filter(|node| node.has_tag_name("creator")));
    let creators: Vec<String> = creators.filter_map(|node| node.text()).map(one_line).collect();
    let fields = says.and_then(|says| child(says, "miscellaneous"));
    let other = |name: &str| {
        let mut fields = fields?.children().filter(|field| field.attribute("name") == Some(name));
        fields.next()?.text().map(str::trim).filter(|text| !text.is_empty()).map(str::to_owned)
    };
    Header {
        title: title.map_or_else(|| "Untitled".to_owned(), one_line),
        by: Some(creators.join(", ")).filter(|by| !by.is_empty()),
        source: field("source"),
        rights: field("rights"),
        kind: other("kind").as_deref().map(one_line),
        tags: other("tags").map_or(Vec::new(), |tags| tags.split(',').map(one_line).collect()),
        note: other("note"),
        ..Header::default()
    }
}
