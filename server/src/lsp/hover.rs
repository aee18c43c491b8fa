//! What there is to say of the text under the cursor.

use lope_desk::Hover as Said;
use tower_lsp::lsp_types::{Hover, HoverContents, Position};

use super::markup::markup;
use super::snapshot::View;

/// The hover at a position; none where there is nothing to say.
pub fn hover(view: View<'_>, position: Position) -> Option<Hover> {
    let (entry, said) = view.page().hover(view.offset(position))?;
    let Said { span, title, lines, drawing } = said;
    let contents = markup(view.features.markdown, Some(&title), &lines, &drawing);
    Some(Hover { contents: HoverContents::Markup(contents), range: Some(view.range(entry.bytes(span))) })
}
