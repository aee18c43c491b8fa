use lope_rules::Music;
use lope_syntax::{NodeId, NodeKind, Span, TokenKind};

/// Something in a row of slots that takes time.
#[derive(Clone, Copy, Debug)]
pub struct Item {
    /// Its node.
    pub node: NodeId,
    /// What it is.
    pub kind: NodeKind,
    /// Its text.
    pub span: Span,
    /// How many of the row's slots it fills.
    pub width: u32,
}

/// Every bar that is written in slots.
pub fn bars(music: &Music<'_>) -> impl Iterator<Item = NodeId> {
    let nodes = (0..).map(NodeId).zip(music.tree.nodes());
    nodes.filter(|(_, node)| node.kind == NodeKind::Bar).map(|(id, _)| id)
}

/// What takes time straight below `row`, a bar or a brace.
pub fn items(music: &Music<'_>, row: NodeId) -> Vec<Item> {
    let items = music.tree.children(row).filter_map(|node| {
        let kind = music.tree.node(node).kind;
        let width = match kind {
            NodeKind::Note | NodeKind::Brush | NodeKind::Hold | NodeKind::Silence => 1,
            // Braces without slots take no time.
            NodeKind::Brace if items(music, node).is_empty() => return None,
            NodeKind::Brace => over(music, node).map_or(1, |(over, _)| over),
            _ => return None,
        };
        Some(Item { node, kind, span: music.tree.span(node), width })
    });
    items.collect()
}

/// What `brace` says after it of the slots it fills, and where.
pub fn over(music: &Music<'_>, brace: NodeId) -> Option<(u32, Span)> {
    let last = music.tree.tokens_of(brace).last().filter(|token| token.kind == TokenKind::Over)?;
    let over = last.span.of(music.text).get(1..)?.parse().ok()?;
    Some((over, last.span))
}

/// Whether braces of so many slots are a run, in the three-note gait.
pub const fn is_run(slots: u32) -> bool {
    matches!(slots, 3 | 6 | 9 | 12)
}
