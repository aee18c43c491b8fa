//! Tunes for the tests of rules.

use lope_hand::Hand;
use lope_syntax::Tree;
use lope_tune::{Moment, Pitch, Reading, play};

use crate::{Finding, Mend, Music, Settings, apply, check, mend_all, mends, rule};

/// A tune's text with all that is read from it.
pub struct Piece {
    pub text: String,
    pub tree: Tree,
    pub reading: Reading,
    pub hand: Hand,
    pub settings: Settings,
}

impl Piece {
    /// A whole tune.
    pub fn new(text: &str) -> Self {
        Self::with(text, Settings::default())
    }

    /// A whole tune under `settings`.
    pub fn with(text: &str, settings: Settings) -> Self {
        let tree = lope_syntax::parse(text);
        let reading = lope_tune::read(text, &tree, &settings.defaults);
        let hand = lope_hand::read(&reading.tune);
        Self { text: text.to_owned(), tree, reading, hand, settings }
    }

    /// `music` as the only part of a jig in open G.
    pub fn jig(music: &str) -> Self {
        Self::new(&format!("tune: Test\nmeter: 6/8\n\npart A\n{music}\n"))
    }

    /// `music` as the only part of a reel in open G.
    pub fn reel(music: &str) -> Self {
        Self::new(&format!("tune: Test\nmeter: 4/4\n\npart A\n{music}\n"))
    }

    pub fn music(&self) -> Music<'_> {
        let Self { text, tree, reading, hand, settings } = self;
        Music::new(text, tree, reading, hand, settings.neck)
    }

    /// What the rule called `name` finds, even where it is off by default.
    pub fn findings_of(&self, name: &str) -> Vec<Finding> {
        let id = rule(name).unwrap();
        let mut settings = self.settings.clone();
        if settings.level(id).is_none() {
            settings.set_level(id, Some(crate::Level::Hint));
        }
        let all = check(&self.music(), &settings);
        all.into_iter().filter(|finding| finding.rule == id).collect()
    }

    /// The text each finding of the rule called `name` marks, with its place and message.
    pub fn says(&self, name: &str) -> Vec<String> {
        let say = |finding: &Finding| {
            format!("{} at {}: {}", finding.span.of(&self.text), finding.place, finding.message)
        };
        self.findings_of(name).iter().map(say).collect()
    }

    pub fn mends(&self, finding: &Finding) -> Vec<Mend> {
        mends(&self.music(), finding)
    }

    /// The text after `mend`. A safe mend is held to its word: the same pitches at the same moments.
    pub fn mended(&self, mend: &Mend) -> String {
        let mended = apply(&self.text, &mend.edits);
        if mend.safe {
            let after = Self::with(&mended, self.settings.clone());
            assert_eq!(after.heard(), self.heard(), "{} changes what is heard:\n{mended}", mend.title);
        }
        mended
    }

    /// The music lines after the first mend of each finding of the rule called `name`, taken alone.
    pub fn first_mends(&self, name: &str) -> Vec<(String, String)> {
        let mend = |finding: &Finding| self.mends(finding).into_iter().next();
        let findings = self.findings_of(name);
        let mends = findings.iter().filter_map(mend);
        mends.map(|mend| (mend.title.clone(), music_lines(&self.mended(&mend)))).collect()
    }

    /// Every pitch and its moment, repeats and all.
    pub fn heard(&self) -> Vec<(Moment, Option<Pitch>)> {
        let mut heard: Vec<_> =
            play(&self.reading.tune).notes.iter().map(|note| (note.onset, note.pitch)).collect();
        heard.sort();
        heard
    }

    /// The piece after all safe mends of the rule called `name`, again and again until none is left.
    pub fn all_mended(&self, name: &str) -> Self {
        let mut piece = Self::with(&self.text, self.settings.clone());
        for _ in 0..20 {
            let edits = mend_all(&piece.music(), &piece.findings_of(name)).edits;
            if edits.is_empty() {
                return piece;
            }
            piece = Self::with(&apply(&piece.text, &edits), self.settings.clone());
            assert_eq!(piece.heard(), self.heard(), "mends of {name} change what is heard:\n{}", piece.text);
        }
        panic!("mends of {name} never end:\n{}", piece.text);
    }
}

/// What follows the first part's heading.
fn music_lines(text: &str) -> String {
    text.split_once("part A\n").map_or(text, |(_, music)| music).trim_end().to_owned()
}
