//! What holds for every text there is.

use lope_syntax::{parse, tunes};
use lope_tests::soup;
use lope_tests::tunes::Trouble;
use lope_tune::{Defaults, Reading, play};
use proptest::prelude::*;

proptest! {
    #[test]
    fn the_tunes_of_a_file_are_the_file(text in soup::text()) {
        let mut next = 0;
        for tune in tunes(&text) {
            prop_assert_eq!(tune.start, next);
            next = tune.end;
        }
        prop_assert_eq!(next, text.len());
    }

    #[test]
    fn tokens_are_the_text(text in soup::text()) {
        let tree = parse(&text);
        let mut next = 0;
        for token in tree.tokens() {
            prop_assert_eq!(token.span.start, next);
            prop_assert!(!token.span.is_empty());
            next = token.span.end;
            prop_assert!(text.is_char_boundary(next as usize));
        }
        prop_assert_eq!(next as usize, text.len());
    }

    #[test]
    fn nodes_nest(text in soup::text()) {
        let tree = parse(&text);
        let root = tree.node(tree.root());
        prop_assert_eq!((root.first, root.last as usize), (0, tree.tokens().len()));
        for (at, node) in (0..).zip(tree.nodes()) {
            for child in tree.children(lope_syntax::NodeId(at)) {
                let child = tree.node(child);
                prop_assert!(node.first <= child.first && child.first <= child.last && child.last <= node.last);
            }
        }
    }

    #[test]
    fn any_text_is_read_and_played(text in soup::text()) {
        let reading = read(&text);
        let played = play(&reading.tune);
        prop_assert!(played.notes.is_sorted_by_key(|note| note.onset));
        prop_assert_eq!(reading.source.notes.len(), reading.tune.notes.len());
        prop_assert_eq!(reading.source.events.len(), reading.tune.events.len());
        prop_assert_eq!(reading.source.bars.len(), reading.tune.bars.len());
    }

    #[test]
    fn a_made_tune_says_nothing_wrong(text in soup::tune(Trouble::None)) {
        prop_assert!(parse(&text).faults().is_empty());
        prop_assert_eq!(read(&text).issues, []);
    }
}

fn read(text: &str) -> Reading {
    lope_tune::read(text, &parse(text), &Defaults::default())
}
