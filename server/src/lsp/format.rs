//! A file made tidy, as edits.

use tower_lsp::lsp_types::TextEdit;

use super::snapshot::View;

/// The edits that make the file tidy: blanks only, and none where all is well. How wide blanks should be is
/// not the editor's to say: columns follow the music.
pub fn format(view: View<'_>) -> Vec<TextEdit> {
    view.page().tidy_edits().iter().map(|edit| view.text_edit(0, edit)).collect()
}
