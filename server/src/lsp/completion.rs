//! What could stand at the cursor, as completion items.

use lope_desk::{Completion, CompletionKind, Completions, Entry, Piece, Topic};
use serde_json::{Value, json};
use tower_lsp::lsp_types::{
    self as protocol, CompletionContext, CompletionItem, CompletionList, CompletionOptions, CompletionParams,
    CompletionResponse, CompletionTextEdit, Documentation, InsertTextFormat, TextEdit, Url,
};

use super::features::Features;
use super::markup::markup;
use super::snapshot::View;

/// What makes a client ask by itself, beside letters: the colon of a note or field, a call, a chord symbol, and
/// a blank, which is answered in fields, headings and comments only. In music a list after every blank would
/// be in the way of a player who types on; and what letters begin, clients ask about anyway.
const TRIGGERS: [&str; 4] = [":", "@", "<", " "];

/// What is offered to a client with `features`.
pub fn options(features: &Features) -> CompletionOptions {
    CompletionOptions {
        trigger_characters: Some(TRIGGERS.map(str::to_owned).to_vec()),
        resolve_provider: Some(features.resolves_documentation),
        ..CompletionOptions::default()
    }
}

/// What could stand at the cursor; none where there is nothing to say, or nothing was asked.
pub fn complete(view: View<'_>, params: &CompletionParams) -> Option<CompletionResponse> {
    let offset = view.offset(params.text_document_position.position);
    let (entry, found) = view.page().complete(offset)?;
    if is_blank(params.context.as_ref()) && !found.after_blank {
        return None;
    }
    let Completions { span, items, by_letter, .. } = found;
    let range = view.range(entry.bytes(span));
    let items = (0..).zip(items).map(|(rank, completion)| item(view, entry, range, rank, completion));
    let list = CompletionList { is_incomplete: by_letter, items: items.collect() };
    Some(CompletionResponse::List(list))
}

/// Whether all that was typed is a blank.
fn is_blank(context: Option<&CompletionContext>) -> bool {
    context.and_then(|context| context.trigger_character.as_deref()) == Some(" ")
}

/// The file an item is for, if what there is to read about it is still to come.
pub fn to_resolve(item: &CompletionItem) -> Option<Url> {
    let data = item.data.as_ref().filter(|_| item.documentation.is_none())?;
    data["file"].as_str().and_then(|url| Url::parse(url).ok())
}

/// `item` with what there is to read about it.
pub fn resolve(view: View<'_>, item: CompletionItem) -> CompletionItem {
    let documentation = item.data.as_ref().and_then(|data| {
        let offset = usize::try_from(data["tune"].as_u64()?).ok()?;
        let entry = view.page().entry_at(offset)?;
        documentation(view, entry, &Topic::parse(data["topic"].as_str()?)?)
    });
    CompletionItem { documentation, ..item }
}

fn item(
    view: View<'_>,
    entry: Entry<'_>,
    range: protocol::Range,
    rank: u32,
    completion: Completion,
) -> CompletionItem {
    let template = completion.template.filter(|_| view.features.snippets);
    let format = if template.is_some() { InsertTextFormat::SNIPPET } else { InsertTextFormat::PLAIN_TEXT };
    let new_text = template.map_or(completion.text, |pieces| snippet(&pieces));
    let lazily = view.features.resolves_documentation;
    let topic = completion.topic.as_ref();
    CompletionItem {
        label: completion.label,
        kind: Some(kind(completion.kind)),
        detail: Some(completion.detail),
        documentation: topic.filter(|_| !lazily).and_then(|topic| documentation(view, entry, topic)),
        // Clients sort by this, letter by letter.
        sort_text: Some(format!("{rank:03}")),
        insert_text_format: Some(format),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit { range, new_text })),
        data: topic.filter(|_| lazily).map(|topic| data(view, entry, topic)),
        ..CompletionItem::default()
    }
}

/// What it takes to find `topic` again.
fn data(view: View<'_>, entry: Entry<'_>, topic: &Topic) -> Value {
    json!({ "file": view.url.as_str(), "tune": entry.offset, "topic": topic.to_string() })
}

fn documentation(view: View<'_>, entry: Entry<'_>, topic: &Topic) -> Option<Documentation> {
    let said = entry.reading.explain(topic)?;
    let markdown = view.features.markdown_items;
    let markup = markup(markdown, None, &said.lines, &said.drawing);
    // Plain text is a string to every client, older ones included.
    Some(if markdown { Documentation::MarkupContent(markup) } else { Documentation::String(markup.value) })
}

/// The pieces as the protocol writes a text to fill in, with the cursor at the end.
fn snippet(pieces: &[Piece]) -> String {
    let mut holes = 0;
    let written = pieces.iter().map(|piece| match piece {
        Piece::Text(text) => escaped(text),
        Piece::Hole(text) => {
            holes += 1;
            format!("${{{holes}:{}}}", escaped(text))
        }
    });
    written.collect::<String>() + "$0"
}

fn escaped(text: &str) -> String {
    text.replace('\\', "\\\\").replace('$', "\\$").replace('}', "\\}")
}

/// The protocol has no kinds for music: these are the ones whose signs in editors come nearest.
const fn kind(kind: CompletionKind) -> protocol::CompletionItemKind {
    match kind {
        CompletionKind::Field => protocol::CompletionItemKind::PROPERTY,
        CompletionKind::Value => protocol::CompletionItemKind::VALUE,
        CompletionKind::Heading => protocol::CompletionItemKind::KEYWORD,
        CompletionKind::Name => protocol::CompletionItemKind::FUNCTION,
        CompletionKind::Slot => protocol::CompletionItemKind::UNIT,
        CompletionKind::Rule => protocol::CompletionItemKind::CONSTANT,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn holes_are_numbered_and_text_is_plain() {
        let pieces = [
            Piece::Text("a$}: ".to_owned()),
            Piece::Hole("b\\".to_owned()),
            Piece::Text(" x".to_owned()),
            Piece::Hole("2".to_owned()),
        ];
        assert_eq!(snippet(&pieces), "a\\$\\}: ${1:b\\\\} x${2:2}$0");
    }
}
