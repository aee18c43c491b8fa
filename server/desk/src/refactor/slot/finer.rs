use lope_rules::Edit;
use lope_syntax::{NodeId, NodeKind};
use lope_tune::WIDEST;

use crate::refactor::row::{items, over};
use crate::refactor::scene::Scene;

/// Writes every slot of `bar` as two of half its length.
pub fn bar(scene: &Scene<'_>, bar: NodeId) -> Result<Vec<Edit>, String> {
    let items = items(&scene.music, bar);
    let edits = items.iter().map(|item| {
        Ok(match (item.kind, over(&scene.music, item.node)) {
            (NodeKind::Silence, _) => Edit::insert(item.span.end, " _"),
            (NodeKind::Brace, Some((slots, _))) if slots * 2 > WIDEST => {
                return Err(format!("braces cannot fill more than {WIDEST} slots"));
            }
            (NodeKind::Brace, Some((slots, span))) => Edit::replace(span, format!("/{}", slots * 2)),
            (NodeKind::Brace, None) => Edit::insert(item.span.end, "/2"),
            _ => Edit::insert(item.span.end, "-"),
        })
    });
    edits.collect()
}
