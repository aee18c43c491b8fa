//! A mend made in its file, by whoever looks at the page.

use serde::Deserialize;

use super::asked::{Refusal, Which};
use super::stand::{File, Stand};
use crate::files::{self, Reader};

/// A mend of a finding, by their numbers as the page was told of them.
#[derive(Debug, Deserialize)]
pub struct Mend {
    file: String,
    number: usize,
    /// What the file goes by on the page.
    stamp: String,
    finding: usize,
    mend: usize,
}

impl Mend {
    /// Makes it, where the file on the disk still is what the page shows; the file is written whole or not at all.
    pub fn make(&self, stand: &Stand) -> Result<(), Refusal> {
        let which = Which { file: self.file.clone(), number: self.number };
        let reading = which.find_unchanged(stand, &self.stamp)?;
        let (path, file) = stand.file(&self.file).ok_or(Refusal::Gone)?;
        let finding = reading.findings().get(self.finding).ok_or(Refusal::Changed)?;
        let mend = reading.mends(finding).into_iter().nth(self.mend).ok_or(Refusal::Changed)?;
        let failed = |problem: files::Problem| Refusal::Failed(problem.message);
        let mut reader = Reader::default();
        let text = reader.read(&path).map_err(failed)?;
        let entry = file.page.entries().nth(self.number);
        let entry = entry.filter(|_| File::stamp_of(text) == self.stamp).ok_or(Refusal::Changed)?;
        let (before, rest) = text.split_at_checked(entry.offset).ok_or(Refusal::Changed)?;
        let after = rest.get(reading.text().len()..).ok_or(Refusal::Changed)?;
        let mended = reading.after(&mend.edits);
        files::write_whole(&path, &[before, mended.text(), after].concat()).map_err(failed)
    }
}
