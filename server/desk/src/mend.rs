use std::sync::Arc;

use lope_rules::{Edit, Settings, apply, mend_all};
use lope_syntax::tunes;

use crate::{Page, Reading, edits_between};

/// A file after all safe mends.
pub struct Mended {
    /// Its text.
    pub text: String,
    /// How many mends were made.
    pub mends: usize,
}

/// How often mends are made and the tune read again. A mend can uncover another finding, and two that
/// want the same text take turns; what is left after this many rounds goes round in circles.
const ROUNDS: usize = 32;

impl Reading {
    /// This tune after all safe mends, and how many there were; none where nothing changes.
    pub fn mended(&self) -> Option<(Reading, usize)> {
        let mut mends = 0;
        let mut latest = None;
        for _ in 0..ROUNDS {
            let reading = latest.as_ref().unwrap_or(self);
            let round = mend_all(&reading.music(), reading.findings());
            if round.mends == 0 {
                break;
            }
            mends += round.mends;
            latest = Some(Reading::new(apply(reading.text(), &round.edits), self.settings()));
        }
        latest.map(|reading| (reading, mends))
    }
}

impl Page {
    /// The edits that make all safe mends in the file, in order; their spans count from its start.
    pub fn mend_edits(&self) -> Vec<Edit> {
        self.sheets()
            .filter_map(|sheet| {
                let (mended, _) = sheet.reading.mended()?;
                Some(edits_between(sheet.reading.text(), mended.text(), sheet.offset))
            })
            .flatten()
            .collect()
    }
}

impl Mended {
    /// Makes all safe mends in a file's text.
    pub fn new(text: &str, settings: &Arc<Settings>) -> Self {
        let mut mended = Self { text: String::with_capacity(text.len()), mends: 0 };
        for range in tunes(text) {
            let reading = Reading::new(&text[range], settings);
            match reading.mended() {
                Some((reading, mends)) => {
                    mended.text.push_str(reading.text());
                    mended.mends += mends;
                }
                None => mended.text.push_str(reading.text()),
            }
        }
        mended
    }
}
