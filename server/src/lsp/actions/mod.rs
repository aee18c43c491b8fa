//! What can be done about the text in a range, as code actions: mends, comments that keep a finding, and
//! refactorings.

mod asked;
mod keeps;
mod mends;
mod refactorings;
mod resolve;

use tower_lsp::lsp_types::{CodeActionKind, CodeActionOrCommand, CodeActionParams, CodeActionResponse};

use self::asked::Asked;
pub use self::resolve::{resolve, to_resolve};
use super::session::Session;
use super::snapshot::View;

/// All safe mends at once, by a name that is only ours.
pub const FIX_ALL: CodeActionKind = CodeActionKind::new("source.fixAll.lope");

/// All safe mends of what one rule has found.
pub const FIX_RULE: CodeActionKind = CodeActionKind::new("quickfix.rule");

/// A comment that keeps a finding: no mend.
pub const KEEP: CodeActionKind = CodeActionKind::new("quickfix.keep");

/// What can be done about what is in a range, of the kinds that are asked for.
pub fn actions(session: &Session, view: View<'_>, params: &CodeActionParams) -> CodeActionResponse {
    let asked = Asked::new(session, view, params);
    let mut actions = Vec::new();
    if asked.wants(CodeActionKind::QUICKFIX.as_str()) {
        actions = mends::quick_fixes(&asked);
    }
    if asked.wants(FIX_RULE.as_str()) {
        actions.extend(mends::of_one_rule(&asked));
    }
    if asked.wants(KEEP.as_str()) {
        actions.extend(keeps::keeps(&asked));
    }
    actions.extend(refactorings::refactorings(&asked));
    let fix_all = mends::all(&asked, &actions);
    actions.extend(fix_all);
    actions.into_iter().map(CodeActionOrCommand::CodeAction).collect()
}
