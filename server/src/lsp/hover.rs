//! What there is to say of the text under the cursor.

use lope_desk::Hover as Said;
use tower_lsp::lsp_types::{Hover, HoverContents, MarkupContent, MarkupKind, Position};

use super::snapshot::View;

/// The hover at a position; none where there is nothing to say.
pub fn hover(view: View<'_>, position: Position) -> Option<Hover> {
    let (sheet, said) = view.page().hover(view.offset(position))?;
    let content = if view.features.markdown { markdown(&said) } else { plain(&said) };
    Some(Hover { contents: HoverContents::Markup(content), range: Some(view.range(sheet.bytes(said.span))) })
}

/// Two blanks at the end of a line make Markdown keep the line break. What is said holds no marks of its.
fn markdown(said: &Said) -> MarkupContent {
    let value = format!("**{}**\n\n{}", said.place, said.lines.join("  \n"));
    MarkupContent { kind: MarkupKind::Markdown, value }
}

fn plain(said: &Said) -> MarkupContent {
    MarkupContent { kind: MarkupKind::PlainText, value: format!("{}\n{}", said.place, said.lines.join("\n")) }
}
