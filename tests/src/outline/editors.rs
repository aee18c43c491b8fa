//! The outline as editors read it, with the parser that is in the repository.

use std::ops::Range;

use tree_sitter::{InputEdit, Language, Node, Parser, Point, Tree};
use tree_sitter_language::LanguageFn;

use super::{Row, is_closed};

/// The grammar for editors.
pub fn language() -> Language {
    #[allow(unsafe_code, reason = "this is how a parser made of C is had")]
    let language = {
        unsafe extern "C" {
            fn tree_sitter_lope() -> *const ();
        }
        // Safety: the function is what tree-sitter generated, and takes nothing.
        unsafe { LanguageFn::from_raw(tree_sitter_lope) }
    };
    language.into()
}

/// Reads a file.
pub fn parse(text: &str) -> Tree {
    read(text, None)
}

/// Reads `text` that came of `old` by putting `put` bytes in the place of `taken`, and whose text before that
/// was `before`.
pub fn parse_again(mut old: Tree, before: &str, text: &str, taken: &Range<usize>, put: usize) -> Tree {
    old.edit(&InputEdit {
        start_byte: taken.start,
        old_end_byte: taken.end,
        new_end_byte: taken.start + put,
        start_position: point(before, taken.start),
        old_end_position: point(before, taken.end),
        new_end_position: point(text, taken.start + put),
    });
    read(text, Some(&old))
}

fn read(text: &str, old: Option<&Tree>) -> Tree {
    let mut parser = Parser::new();
    parser.set_language(&language()).expect("the runtime knows parsers of this version");
    parser.parse(text, old).expect("nothing cancels it")
}

fn point(text: &str, at: usize) -> Point {
    let before = &text.as_bytes()[..at];
    let row = before.iter().filter(|byte| **byte == b'\n').count();
    let line = before.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    Point { row, column: at - line }
}

/// What stands in each tune; what a tree has above its tunes but comments is in no outline, so it fails.
pub fn tunes(tree: &Tree) -> Vec<Vec<Row>> {
    let root = tree.root_node();
    children(root)
        .map(|tune| {
            assert_eq!(tune.kind(), "tune");
            let mut rows = Vec::new();
            inside(tune, 0, &mut rows);
            rows
        })
        .collect()
}

/// A walk without recursion: braces nest as deep as a text likes.
fn inside(tune: Node<'_>, depth: usize, rows: &mut Vec<Row>) {
    let mut left: Vec<(usize, Node<'_>)> = children(tune).map(|child| (depth, child)).collect();
    left.reverse();
    while let Some((depth, node)) = left.pop() {
        rows.push(Row { depth, name: node.kind(), bytes: node.byte_range() });
        if !is_closed(node.kind()) {
            let below: Vec<_> = children(node).map(|child| (depth + 1, child)).collect();
            left.extend(below.into_iter().rev());
        }
    }
}

fn children(node: Node<'_>) -> impl Iterator<Item = Node<'_>> {
    let children: Vec<_> = node.children(&mut node.walk()).collect();
    children.into_iter().filter(|child| child.kind() != "comment")
}
