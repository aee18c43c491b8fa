//! A file made tidy, as edits.

use lope_desk::{Edit, Typed};
use tower_lsp::lsp_types::{Position, Range, TextEdit};

use super::snapshot::View;

/// The edits that make the file tidy: blanks only, and none where all is well. How wide blanks should be is
/// not the editor's to say: columns follow the music.
pub fn format(view: View<'_>) -> Vec<TextEdit> {
    text_edits(view, &view.page().tidy_edits())
}

/// Those of them that lie inside a range.
pub fn format_range(view: View<'_>, range: Range) -> Vec<TextEdit> {
    text_edits(view, &view.page().tidy_edits_in(view.bytes(range)))
}

/// The edits that tidy what was finished by typing `typed`, one of [`TRIGGERS`], before a position.
pub fn format_typed(view: View<'_>, position: Position, typed: &str) -> Option<Vec<TextEdit>> {
    let typed = match typed {
        "|" => Typed::BarLine,
        "\n" => Typed::LineBreak,
        _ => return None,
    };
    Some(text_edits(view, &view.page().typed(typed, view.offset(position))))
}

/// What finishes something when it is typed.
pub const TRIGGERS: [&str; 2] = ["|", "\n"];

fn text_edits(view: View<'_>, edits: &[Edit]) -> Vec<TextEdit> {
    edits.iter().map(|edit| view.text_edit(0, edit)).collect()
}
