//! What is looked up in an element again and again.

use roxmltree::Node;

/// The line of the file that `node` begins on, from 1.
pub fn line(node: Node<'_, '_>) -> u32 {
    node.document().text_pos_at(node.range().start).row
}

/// The first child of `node` called `name`.
pub fn child<'a, 'i>(node: Node<'a, 'i>, name: &str) -> Option<Node<'a, 'i>> {
    node.children().find(|child| child.has_tag_name(name))
}

/// The text of the first child of `node` called `name`, without blanks around it.
pub fn text<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    child(node, name)?.text().map(str::trim)
}

/// The whole number in the first child of `node` called `name`.
pub fn number(node: Node<'_, '_>, name: &str) -> Option<i64> {
    text(node, name)?.parse().ok()
}
