use std::sync::Arc;

use lope_rules::{Edit, Settings, apply, mend_all};
use lope_syntax::tunes;
use lope_tidy::Gap;

use crate::tidy::{edit, untidy_gaps};
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
    /// This tune after all safe mends, and how many there were; none where nothing changes. A tune that was
    /// tidy is left tidy.
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
        let latest = latest?;
        Some((if self.is_tidy() { latest.tidied() } else { latest }, mends))
    }

    fn untidy_gaps(&self) -> impl Iterator<Item = Gap> {
        untidy_gaps(self.text(), self.music().tree, self.written())
    }

    fn is_tidy(&self) -> bool {
        self.untidy_gaps().next().is_none()
    }

    fn tidied(self) -> Self {
        let edits: Vec<Edit> = self.untidy_gaps().map(|gap| edit(gap, 0)).collect();
        if edits.is_empty() { self } else { Self::new(apply(self.text(), &edits), self.settings()) }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(music: &str, expected: &str) {
        let tune = |music| format!("tune: Two Rows\nmeter: 6/8\n\npart A\n{music}\n");
        assert_eq!(Mended::new(&tune(music), &Arc::default()).text, tune(expected));
    }

    #[test]
    fn a_tidy_tune_is_left_tidy_and_an_untidy_one_as_it_is() {
        check(
            "| 3:0 t h2  1:0 t 1:0 | 2:0 t 2:0  1:0 t 1:0 |\n| 3:0 h2 2:0  1:0- - | 2:0 t 2:0  1:0 t 1:0 |",
            "| 3:0 t 3:2  1:0 t 1:0 | 2:0 t 2:0  1:0 t 1:0 |\n| 3:0 h2 2:0  1:0- - | 2:0 t 2:0  1:0 t 1:0 |",
        );
        check(
            "| 3:0 t h2  1:0 t 1:0 | 2:0 t 2:0  1:0 t 1:0 |\n| 3:0 h2 2:0  1:0- -  | 2:0 t 2:0  1:0 t 1:0 |",
            "| 3:0 t 3:2  1:0 t 1:0 | 2:0 t 2:0  1:0 t 1:0 |\n| 3:0 h2 2:0  1:0- -   | 2:0 t 2:0  1:0 t 1:0 |",
        );
    }
}
