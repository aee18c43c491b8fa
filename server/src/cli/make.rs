mod heard;

use std::io::{self, Write};
use std::panic::resume_unwind;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::{iter, thread};

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser};
use lope_desk::{Level, Page, Reading, nearest};

use super::{Outcome, output};
use crate::config::Books;
use crate::examine::{mistakes_of, no_tunes};
use crate::files::{self, Problem, shown};
use crate::make::{FORMS, Form, Piece, Target, Trouble};
use heard::Heard;

/// Make a tune into something to hear or to hand on
///
/// The ending of OUT says what is made: .mid is a standard MIDI file, .wav is sound, .musicxml and .mxl are scores
/// with a tablature staff that other music programs read. Where OUT is a folder, --as
/// says it, and every tune of a file or a book is made into a file of its own, named after its title. A file that
/// is there already is replaced.
///
/// Playing over and speeding up can hurt a hand: warm up, rest, raise the speed only when it is easy, stop at
/// pain, numbness or tingling and see a clinician, and keep the sound at a safe level.
#[derive(Args)]
pub struct Make {
    /// A tune file, a folder of them, or `-` for standard input
    #[arg(value_name = "TUNE")]
    from: PathBuf,
    /// The file to make; or a folder, with --as
    #[arg(value_name = "OUT")]
    to: PathBuf,
    /// What to make of every tune, in the folder OUT
    #[arg(long = "as", value_name = "FORM", value_parser = form_parser())]
    form: Option<String>,
    /// The tune to make, where there are several
    #[arg(long, value_name = "TITLE")]
    tune: Option<String>,
    /// In a score, a staff of notes above the tablature
    #[arg(long)]
    notes: bool,
    #[command(flatten)]
    heard: Heard,
}

fn form_parser() -> PossibleValuesParser {
    FORMS.iter().map(|form| PossibleValue::new(form.ending).help(form.about)).into()
}

/// A tune, and the file it was read from.
struct Found {
    path: PathBuf,
    reading: Arc<Reading>,
}

impl Found {
    fn title(&self) -> &str {
        &self.reading.tune().header.title
    }
}

impl Make {
    pub fn run(self) -> io::Result<Outcome> {
        let target = match Target::of(&self.to, self.form.as_deref()) {
            Ok(target) => target,
            Err(problem) => return Ok(failed(&[problem])),
        };
        let (found, mut problems) = self.read();
        let found = match self.choose(found, &target) {
            Ok(found) => found,
            Err(problem) => {
                problems.push(problem);
                return Ok(failed(&problems));
            }
        };
        let (passage, performance) = (self.heard.passage(), self.heard.performance());
        let titles: Vec<&str> = found.iter().map(Found::title).collect();
        let paths = target.paths(&titles);
        let made = side_by_side(found.len(), |at| {
            let reading = &found[at].reading;
            let tell = |remark: &str| output::complain(&format!("{}: {remark}", shown(&paths[at])));
            let piece = Piece {
                reading,
                passage: passage.as_ref(),
                performance: &performance,
                notes: self.notes,
                tell: &tell,
            };
            make(target.form(), &piece, &paths[at], &found[at])
        });
        let mut out = output::standard();
        for (path, made) in paths.iter().zip(made) {
            match made {
                Ok(()) => writeln!(out, "{}: made", shown(path))?,
                Err(problem) => problems.push(problem),
            }
        }
        out.flush()?;
        Ok(if problems.is_empty() { Outcome::Clean } else { failed(&problems) })
    }

    /// Every tune there is to choose from.
    fn read(&self) -> (Vec<Found>, Vec<Problem>) {
        let books = Arc::new(Books::default());
        let from = [self.from.clone()];
        let walked = files::each(&from, Path::new(files::STANDARD_INPUT), &books, |source| {
            Ok(Page::read(source.text, source.settings)
                .sheets()
                .map(|sheet| Arc::clone(sheet.reading))
                .collect())
        });
        let mut problems = walked.problems;
        if walked.done.is_empty() && problems.is_empty() {
            problems.extend(no_tunes(&from));
        }
        output::complain_of(&mistakes_of(&books));
        let found = walked.done.into_iter().flat_map(|(path, readings): (PathBuf, Vec<Arc<Reading>>)| {
            readings.into_iter().map(move |reading| Found { path: path.clone(), reading })
        });
        (found.collect(), problems)
    }

    /// Those of `found` that are asked for: one, unless they go to a folder.
    fn choose(&self, found: Vec<Found>, target: &Target) -> Result<Vec<Found>, Problem> {
        let titles: Vec<String> = found.iter().map(|found| found.title().to_owned()).collect();
        let chosen: Vec<Found> = match &self.tune {
            Some(wanted) => {
                found.into_iter().filter(|found| found.title().eq_ignore_ascii_case(wanted)).collect()
            }
            None => found,
        };
        match (&self.tune, target) {
            (Some(wanted), _) if chosen.is_empty() && !titles.is_empty() => {
                let near = nearest(wanted, titles.iter().map(String::as_str));
                let near = near.map_or_else(|| listed(&titles), |near| format!("did you mean `{near}`?"));
                Err(Problem::new(&self.from, format!("holds no tune called `{wanted}`; {near}")))
            }
            (_, Target::File { .. }) if chosen.len() > 1 => {
                let how = "choose one with --tune TITLE, or name a folder and what to make with --as";
                Err(Problem::new(
                    &self.from,
                    format!("holds {} tunes; {how}; {}", chosen.len(), listed(&titles)),
                ))
            }
            _ => Ok(chosen),
        }
    }
}

/// What `work` makes of each number below `count`, on as many threads as the machine can run at once.
fn side_by_side<T: Send>(count: usize, work: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let worker = || {
        let numbers = iter::repeat_with(|| next.fetch_add(1, Ordering::Relaxed));
        numbers.take_while(|at| *at < count).map(|at| (at, work(at))).collect::<Vec<_>>()
    };
    let mut done: Vec<(usize, T)> = thread::scope(|scope| {
        let threads = thread::available_parallelism().map_or(1, usize::from).min(count);
        let workers: Vec<_> = (0..threads).map(|_| scope.spawn(worker)).collect();
        workers
            .into_iter()
            .flat_map(|worker| worker.join().unwrap_or_else(|panic| resume_unwind(panic)))
            .collect()
    });
    done.sort_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, made)| made).collect()
}

/// Some of `titles` in a sentence.
fn listed(titles: &[String]) -> String {
    const MOST: usize = 12;
    let named: Vec<String> = titles.iter().take(MOST).map(|title| format!("`{title}`")).collect();
    let more = if titles.len() > MOST { format!(" and {} more", titles.len() - MOST) } else { String::new() };
    format!("there are {}{more}", named.join(", "))
}

fn make(form: &Form, piece: &Piece<'_>, path: &Path, found: &Found) -> Result<(), Problem> {
    let errors = piece.reading.findings().iter().filter(|finding| finding.level == Level::Error).count();
    if errors > 0 {
        let from = shown(&found.path);
        output::complain(&format!("{from}: what is wrong in it may be heard; `lope check {from}` shows it"));
    }
    let same = |a: &Path, b: &Path| a.canonicalize().is_ok_and(|a| b.canonicalize().is_ok_and(|b| a == b));
    if same(path, &found.path) {
        return Err(Problem::new(path, "is the tune itself; choose another name"));
    }
    let mut trouble = None;
    files::put(path, |file| {
        (form.write)(piece, file).map_err(|problem| match problem {
            Trouble::Output(error) => error,
            Trouble::Piece(message) => {
                trouble = Some(message);
                io::ErrorKind::InvalidInput.into()
            }
        })
    })
    .map_err(|problem| match trouble {
        Some(message) => Problem::new(&found.path, message),
        None => problem,
    })
}

fn failed(problems: &[Problem]) -> Outcome {
    output::complain_of(problems);
    Outcome::Failed
}
