//! What holds for every text there is.

use lope_syntax::{parse, tunes};
use lope_tests::soup;
use lope_tests::tunes::Trouble;
use lope_tidy::{Next, tidy};
use lope_tune::{Defaults, Reading, play, write};
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
    fn what_is_written_is_the_same_music_and_tidy_but_for_columns(text in soup::text()) {
        let tune = read(&text).tune;
        let written = write(&tune);
        prop_assert_eq!(&read(&written).tune, &tune, "from\n{}\nas\n{}", text, written);
        prop_assert_eq!(out_of_column(&tidied(&written)), out_of_column(&written), "from\n{}", text);
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

fn tidied(text: &str) -> String {
    let tree = parse(text);
    let gaps = tidy(text, &tree, &lope_tune::read(text, &tree, &Defaults::default()), Next::End);
    let mut tidied = text.to_owned();
    gaps.iter().rev().for_each(|gap| tidied.replace_range(std::ops::Range::from(gap.span), &gap.blanks));
    tidied
}

/// `text` without the blanks that line up its bar lines.
fn out_of_column(text: &str) -> String {
    let cells = |line: &str| line.split('|').map(str::trim_end).collect::<Vec<_>>().join(" |");
    text.lines().map(|line| cells(line.trim_start()) + "\n").collect()
}
