//! The steps that every editor is put through: open a tune, see a finding, ask about it, mend it, complete, tidy,
//! rename a phrase, change the book's settings, close. Each editor has a script in `tests/editors` that prints what it saw.

use std::path::PathBuf;
use std::process::Command;

use lope_tests::book::Book;
use serde::Deserialize;
use serde_json::Value;

const TUNE: &str = "\
tune: The Slipway at Noon
kind: jig
meter: 6/8
tuning: gDGBD
tempo: 100

part A x2
| 3:0 t 2:0  2:0 t h1  | @turn |
| 3:0 t 2:0  1:0 t h2  | @turn |

phrase turn
| 2:1 t 2:0  3:2 t 3:0 |
";

/// A book of one tune to walk through.
pub struct Steps {
    book: Book,
}

/// What an editor saw.
#[derive(Debug, Deserialize)]
struct Seen {
    finding: Finding,
    hover: String,
    /// The line of the finding, mended.
    mended: String,
    count_mended: usize,
    /// What may follow `| @`.
    completions: Vec<String>,
    /// The same line, tidied after its blanks were crowded.
    formatted: String,
    /// The lines that name the phrase, once it is another.
    renamed: Vec<String>,
    count_configured: usize,
    closed: bool,
}

/// The first `off-strike` of the tune.
#[derive(Debug, Deserialize)]
struct Finding {
    /// Counted from zero.
    line: u32,
    message: String,
    /// How many of its rule there are.
    count: usize,
}

impl Steps {
    /// A new book.
    pub fn new() -> Self {
        Self { book: Book::of(&[("the-slipway.lope", TUNE)]) }
    }

    /// Where the tune is.
    pub fn tune(&self) -> PathBuf {
        self.book.path("the-slipway.lope")
    }

    /// Runs `editor`, which goes the steps and prints what it saw, and gives that back; fails unless it is
    /// what a player must see.
    pub fn walk(&self, editor: &mut Command) -> Value {
        let seen = self.look(editor);
        serde_json::from_value::<Seen>(seen.clone()).unwrap_or_else(|error| panic!("{error}: {seen}")).hold();
        seen
    }

    /// Runs `editor`, which prints what it saw, and gives that back.
    pub fn look(&self, editor: &mut Command) -> Value {
        // What the editor keeps and logs stays with the book, not in the home of who runs the tests.
        let keeps = ["HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME"];
        let home = self.book.path(".home");
        std::fs::create_dir_all(&home).unwrap();
        let output = editor
            .envs(keeps.map(|name| (name, &home)))
            .output()
            .unwrap_or_else(|error| panic!("cannot start {editor:?}: {error}"));
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{editor:?}:\n{said}");
        serde_json::from_slice(&output.stdout)
            .unwrap_or_else(|error| panic!("{error} in {}:\n{said}", String::from_utf8_lossy(&output.stdout)))
    }
}

impl Seen {
    fn hold(&self) {
        assert_eq!(self.finding.line, 7, "{self:#?}");
        assert_eq!(self.finding.count, 2, "{self:#?}");
        let said = "part A, bar 1, count 6: note 3 of the group is a hammer-on, but the hand falls here";
        // Emacs shows the rule in front of it.
        assert!(self.finding.message.ends_with(said), "{self:#?}");
        assert!(self.hover.contains("the hand should fall and strike here, and does not"), "{self:#?}");
        let words = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(words(&self.mended), "| 3:0 t 2:0 2:0 t 2:1 | @turn |", "{self:#?}");
        assert_eq!(self.count_mended, 1, "{self:#?}");
        assert_eq!(self.formatted, "| 3:0 t 2:0  2:0 t 2:1 | @turn |", "{self:#?}");
        assert!(self.completions.iter().any(|label| label == "@turn"), "{self:#?}");
        let renamed: Vec<_> = self.renamed.iter().map(|line| words(line)).collect();
        let calls =
            ["| 3:0 t 2:0 2:0 t 2:1 | @landing |", "| 3:0 t 2:0 1:0 t h2 | @landing |", "phrase landing"];
        assert_eq!(renamed, calls, "{self:#?}");
        assert_eq!(self.count_configured, 0, "{self:#?}");
        assert!(self.closed, "{self:#?}");
    }
}
