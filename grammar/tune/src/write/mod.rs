//! Music to text. [`fields`] spells what a tune says of itself and what changes in its midst, [`rhythm`]
//! finds the braces that give a bar its [`times`], and [`bar`] spells its slots.

mod bar;
mod fields;
mod rhythm;
mod times;

use crate::{Section, SectionId, SectionKind, Tune};
pub use bar::spell_note;
use fields::Given;

/// Spells `tune` as text that reads as the same tune, without a book's defaults.
///
/// Two bars stand on a line, spaced as `tidy` spaces them; only their columns are not lined up. What no text
/// can say is said as nearly as can be: a line break in a title becomes a blank, a rhythm finer than braces
/// reach goes to the slots around it, and a bar without slots is written `{}`. Names of parts and phrases
/// must be single words.
pub fn write(tune: &Tune) -> String {
    let first = tune.frames.first().copied().unwrap_or_default();
    let mut text = String::with_capacity(128 + tune.events.len() * 6);
    fields::header(&tune.header, &first, &mut text);
    let mut writer = Writer { tune, text, given: Given::new(&first), frame: 0 };
    for (id, section) in (0..).map(SectionId).zip(&tune.sections) {
        writer.section(id, section);
    }
    writer.frames_up_to(tune.frames.len().saturating_sub(1), "");
    writer.text
}

/// How many bars stand on a line.
const BARS_ON_A_LINE: usize = 2;

struct Writer<'t> {
    tune: &'t Tune,
    text: String,
    /// What the fields written so far say about time.
    given: Given,
    /// The frame in [`Tune::frames`] that they make.
    frame: usize,
}

impl Writer<'_> {
    fn section(&mut self, id: SectionId, section: &Section) {
        let indent = if matches!(section.kind, SectionKind::Ending { .. }) { "  " } else { "" };
        self.heading(id, section, indent);
        let mut on_line = 0;
        for (id, bar) in self.tune.bars_of(section) {
            let pickup = section.has_pickup() && id.0 == section.bars.start;
            if self.frame < bar.frame as usize {
                self.end_line();
                self.frames_up_to(bar.frame as usize, indent);
            }
            if self.text.ends_with('\n') {
                self.text.push_str(indent);
                self.text.push_str(if pickup { "" } else { "| " });
                on_line = 0;
            } else {
                self.text.push(' ');
            }
            bar::spell(self.tune, id, &mut self.text);
            self.text.push_str(" |");
            on_line += usize::from(!pickup);
            if on_line == BARS_ON_A_LINE {
                self.end_line();
            }
        }
        self.end_line();
    }

    fn heading(&mut self, id: SectionId, section: &Section, indent: &str) {
        let heading = match &section.kind {
            SectionKind::Part { times, .. } => {
                let passes = self.tune.endings(id).flat_map(|(_, passes)| passes);
                // What is understood where the heading does not say.
                let understood = passes.copied().max().unwrap_or(1);
                let times = if *times == understood { String::new() } else { format!(" x{times}") };
                format!("\npart {}{times}\n", section.name)
            }
            SectionKind::Ending { passes, .. } => {
                let passes: Vec<String> = passes.iter().map(u32::to_string).collect();
                format!("{indent}ending {}\n", passes.join(","))
            }
            SectionKind::Phrase => format!("\nphrase {}\n", section.name),
        };
        self.text.push_str(&heading);
    }

    fn end_line(&mut self) {
        if !self.text.ends_with('\n') {
            self.text.push('\n');
        }
    }

    /// Writes the changes that lead from the frame in force to the one numbered `frame`.
    fn frames_up_to(&mut self, frame: usize, indent: &str) {
        let passed = self.tune.frames.get(self.frame + 1..=frame).unwrap_or_default();
        for next in passed {
            for field in self.given.change_to(next) {
                self.text.push_str(indent);
                self.text.push_str(&field);
                self.text.push('\n');
            }
        }
        self.frame = frame.max(self.frame);
    }
}

#[cfg(test)]
mod tests;
