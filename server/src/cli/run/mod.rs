mod place;

use std::io;

use clap::Args;
use lope_desk::{Offer, Page, RunRequest, apply};

use self::place::Place;
use super::rewrite::{Files, Then};
use super::{Outcome, output};
use crate::files::{Problem, Source, shown};

/// Make a run of triplets of a straight stretch of tab, or take one back
///
/// The run starts and ends on the melody's notes, fits the chords or the key, and takes the time of the notes
/// it stands for, out to whole beats. The hand goes through it in threes, falling on the first and third of
/// each, and lands on the next beat as before. What the stretch was is kept in a comment above its line, from
/// which --back restores it. Of the runs found the best is written; the others are told, to be had by --choice.
/// The exit status is 0, or 2 where there is no run.
///
/// A run is fast, and so is practising it: begin slowly, rest, and stop at pain, numbness or tingling.
#[derive(Args)]
pub struct Run {
    #[command(flatten)]
    place: Place,
    /// How many notes it has: 3, 6, 9 or 12; three in the time of two where none are named
    #[arg(long, value_name = "NUMBER")]
    notes: Option<u32>,
    /// Make it of the blues scale
    #[arg(long)]
    blues: bool,
    /// Which of the runs found to take, counted from the best
    #[arg(long, value_name = "NUMBER", default_value = "1", value_parser = clap::value_parser!(u8).range(1..=8))]
    choice: u8,
    /// Take the run there back to what it was
    #[arg(long, conflicts_with_all = ["notes", "blues", "choice"])]
    back: bool,
    /// Show what would change, as a unified diff, and write nothing
    #[arg(long)]
    show: bool,
}

impl Run {
    pub fn run(self) -> io::Result<Outcome> {
        let then = if self.show { Then::Show } else { Then::Write };
        let done = Files::one(self.place.path()).rewrite(then, |source| match self.made(source) {
            Ok((text, titles)) => (text, Ok(titles)),
            Err(problem) => (source.text.to_owned(), Err(problem)),
        })?;
        let mut outcome = if done.problems.is_empty() { Outcome::Clean } else { Outcome::Failed };
        for (path, file) in &done.files {
            match &file.note {
                Ok(titles) => {
                    for (number, title) in (1..).zip(titles) {
                        let mark = if number == self.choice { "chosen" } else { "or" };
                        let number = if self.back { String::new() } else { format!(" {number}") };
                        done.remark(&format!("{}: {mark}{number}: {title}", shown(path)))?;
                    }
                }
                Err(problem) => {
                    output::complain(&problem.to_string());
                    outcome = Outcome::Failed;
                }
            }
        }
        Ok(outcome)
    }

    /// The text of `source` with the run made or taken back, and the titles of all that could be chosen.
    fn made(&self, source: &Source<'_>) -> Result<(String, Vec<String>), Problem> {
        let problem = |reason: String| Problem::new(source.path, reason);
        let page = Page::read(source.text, source.settings);
        let (entry, span) = self.place.find(&page).map_err(problem)?;
        let request = RunRequest { notes: self.notes, blues: self.blues };
        let offers: Vec<Offer> = match self.back {
            true => vec![entry.reading.straightened(span).map_err(problem)?],
            false => entry.reading.runs(span, request).map_err(problem)?,
        };
        let Some(chosen) = offers.get(usize::from(self.choice) - 1) else {
            return Err(problem(format!("there is no choice {}: {} found", self.choice, offers.len())));
        };
        let edits = chosen.edits.clone().map_err(problem)?;
        let (before, rest) = source.text.split_at(entry.offset);
        let after = &rest[entry.reading.text().len()..];
        let text = format!("{before}{}{after}", apply(entry.reading.text(), &edits));
        Ok((text, offers.into_iter().map(|offer| offer.title).collect()))
    }
}
