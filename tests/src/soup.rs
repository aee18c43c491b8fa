//! Strategies for text: from any bytes at all, by way of words of the notation in any order, to tunes that
//! are music and the same with something spoilt.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};

use crate::tunes::{self, Trouble};

/// Words of the notation, whole and broken, and what comes between them.
pub const WORDS: &[&str] = &[
    "tune:",
    "tune: Low Water\n",
    "meter: 6/8\n",
    "meter: 4/4\n",
    "\nmeter: 2/4\n",
    "unit: 1/16\n",
    "tuning: gDGCD\n",
    "capo: 2\n",
    "tempo: 90\n",
    "gait: x.x\n",
    "\ngait: xx.\n",
    "order: A A B\n",
    "feel: swing 2:1\n",
    "colour: blue\n",
    "\npart A x2\n",
    "\npart B\n",
    "part",
    "\nphrase lick\n",
    "\nmelody A\n",
    "d4",
    "f#4",
    "bb3-",
    "g",
    "\nending 1\n",
    "\n  ending 2,3\n",
    "x2",
    "| ",
    " |",
    "||",
    "1:2",
    "5:0",
    "5:3",
    "4:22",
    "9:1",
    "1:",
    ":3",
    "1:2!",
    "2:1~^/m",
    "/i",
    "3:0-",
    "t",
    "t2:1",
    "t1:0",
    "h4",
    "h2:3",
    "p0",
    "p2:0",
    "s5",
    "h",
    "-",
    "--",
    "_",
    "%",
    "@lick",
    "@",
    "[3:0 2:1 1:2]",
    "[t 1:0]",
    "[",
    "]",
    "{",
    "}",
    "{1:0 t 1:2}/2",
    "{3:0 3:2}",
    "/2",
    "/0",
    "/99999999999",
    "\"softly\"",
    "\"",
    "<G7>",
    "<",
    ">",
    "# a comment\n",
    "# keep off-strike: on purpose\n",
    "#",
    "!",
    "~",
    "^",
    " ",
    "  ",
    "\t",
    "\n",
    "\r\n",
    "\r",
    "\n\n",
    "é",
    "🪕",
    "\u{2028}",
    "\u{feff}",
    "\0",
];

/// Any bytes, as the program reads them from a file.
pub fn bytes() -> impl Strategy<Value = String> {
    vec(any::<u8>(), 0..300).prop_map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
}

/// Words of the notation in any order.
pub fn words() -> impl Strategy<Value = String> {
    let glue = select(&["", " ", " ", " ", "\n"][..]);
    vec((select(WORDS), glue), 0..80)
        .prop_map(|pairs| pairs.iter().flat_map(|(word, glue)| [*word, *glue]).collect())
}

/// Tunes that are music, with something for the rules to find where `trouble` says so.
pub fn tune(trouble: Trouble) -> impl Strategy<Value = String> {
    (any::<u64>(), 0..1500_usize).prop_map(move |(seed, size)| tunes::tune(seed, size, trouble))
}

/// A tune in which a few words have been put or taken out.
pub fn spoilt() -> impl Strategy<Value = String> {
    (tune(Trouble::Often), vec(edit(), 1..6)).prop_map(|(mut text, edits)| {
        edits.iter().for_each(|edit| edit.apply(&mut text));
        text
    })
}

/// Anything of the above.
pub fn text() -> impl Strategy<Value = String> {
    prop_oneof![bytes(), words(), spoilt(), tune(Trouble::None)]
}

/// A file of a few tunes, some spoilt.
pub fn file() -> impl Strategy<Value = String> {
    let tune = prop_oneof![tune(Trouble::None), spoilt(), words()];
    vec(tune, 0..5).prop_map(|tunes| tunes.join("\n"))
}

/// A change such as a writer makes: some text taken out at a place, and some put there.
#[derive(Clone, Debug)]
pub struct Edit {
    at: Index,
    taken: usize,
    /// What is put there.
    pub put: String,
}

/// A change of a few bytes anywhere.
pub fn edit() -> impl Strategy<Value = Edit> {
    let taken = prop_oneof![4 => 0..4_usize, 1 => 0..80_usize];
    let put = vec(select(WORDS), 0..3).prop_map(|words| words.concat());
    (any::<Index>(), taken, put).prop_map(|(at, taken, put)| Edit { at, taken, put })
}

impl Edit {
    /// The bytes of `text` that it takes out, moved to where characters begin.
    pub fn range(&self, text: &str) -> std::ops::Range<usize> {
        let boundary =
            |at: usize| (at..=text.len()).find(|at| text.is_char_boundary(*at)).unwrap_or(text.len());
        let start = boundary(self.at.index(text.len() + 1));
        start..boundary(start + self.taken)
    }

    /// Changes `text`.
    pub fn apply(&self, text: &mut String) {
        text.replace_range(self.range(text), &self.put);
    }
}
