mod bars;
mod heard;
mod seen;
mod tunes;

use std::collections::BTreeSet;
use std::io::{self, Write};
use std::panic::resume_unwind;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::{iter, thread};

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser};
use lope_desk::Level;
use lope_sheet::Passage;
use lope_sound::Performance;

use super::{Outcome, output};
use crate::files::{self, Problem, shown};
use crate::make::{FORMS, Form, Look, Piece, Purpose, Target, Trouble, Volume};
use bars::Bars;
use heard::Heard;
use seen::Seen;
use tunes::Found;

/// Make tunes into something to read, to hear or to hand on
///
/// The ending of OUT says what is made: .pdf is pages to print, .html a page for a browser, .txt five lines of
/// plain text, .svg and .png are pictures, .mid is a standard MIDI file, .wav is sound, .musicxml and .mxl are scores
/// with a tablature staff that other music programs read. A .pdf, .html or .txt holds any number of tunes, such as a
/// whole book. Where OUT is a folder, --as says what is made, and every
/// tune of a file or a book is made into a file of its own, named after its title. A file that is there already is
/// replaced.
///
/// Playing over and speeding up can hurt a hand: warm up, rest, raise the speed only when it is easy, stop at
/// pain, numbness or tingling and see a clinician, and keep the sound at a safe level.
#[derive(Args)]
pub struct Make {
    /// Tune files, folders of them, or `-` for standard input
    #[arg(value_name = "TUNE", required = true)]
    from: Vec<PathBuf>,
    /// The file to make; or a folder, with --as
    #[arg(value_name = "OUT")]
    to: PathBuf,
    /// What to make of every tune, in the folder OUT
    #[arg(long = "as", value_name = "FORM", value_parser = form_parser())]
    form: Option<String>,
    /// The tune to make, where there are several
    #[arg(long, value_name = "TITLE")]
    tune: Option<String>,
    /// What several tunes in one file are called; the name of their folder where it is left out
    #[arg(long, value_name = "TITLE")]
    title: Option<String>,
    /// In a score, a staff of notes above the tablature
    #[arg(long)]
    notes: bool,
    #[command(flatten)]
    bars: Bars,
    #[command(flatten)]
    seen: Seen,
    #[command(flatten)]
    heard: Heard,
}

fn form_parser() -> PossibleValuesParser {
    FORMS.iter().map(|form| PossibleValue::new(form.ending).help(form.about)).into()
}

impl Make {
    pub fn run(self) -> io::Result<Outcome> {
        let asked = Asked {
            passage: self.bars.passage(),
            performance: self.heard.performance(),
            look: self.seen.look(),
            notes: self.notes,
        };
        let target = Target::of(&self.to, self.form.as_deref());
        let target = match target.and_then(|target| suited(target, &self.to, &asked)) {
            Ok(target) => target,
            Err(problem) => return Ok(failed(&[problem])),
        };
        let form = target.form();
        let several = form.holds_books() || matches!(target, Target::Folder { .. });
        let (found, mut problems) = tunes::read(&self.from);
        let mut found = match tunes::choose(found, &self.from, self.tune.as_deref(), several) {
            Ok(found) => found,
            Err(problem) => {
                problems.push(problem);
                return Ok(failed(&problems));
            }
        };
        if form.purpose == Purpose::Seen {
            // One tune that cannot be shown does not keep the others from it.
            found.retain(|found| match asked.of(found, &|_| ()).refusal() {
                Some(message) => {
                    problems.push(Problem::new(&found.path, message));
                    false
                }
                None => true,
            });
        }
        let jobs = self.jobs(&target, &found);
        for job in &jobs {
            warn(form, job);
        }
        let made = side_by_side(jobs.len(), |at| make(form, &jobs[at], &asked));
        let mut out = output::standard();
        for (job, made) in jobs.iter().zip(made) {
            match made {
                Ok(()) => writeln!(out, "{}: made{}", shown(&job.path), job.count())?,
                Err(problem) => problems.push(problem),
            }
        }
        out.flush()?;
        Ok(if problems.is_empty() { Outcome::Clean } else { failed(&problems) })
    }

    /// What is made of `found`, file by file.
    fn jobs<'f>(&self, target: &Target, found: &'f [Found]) -> Vec<Job<'f>> {
        match target {
            _ if found.is_empty() => Vec::new(),
            Target::File { path, .. } => {
                let tunes: Vec<&Found> = found.iter().collect();
                vec![Job { path: path.clone(), title: self.title_of(&tunes), tunes }]
            }
            Target::Folder { .. } => {
                let titles: Vec<&str> = found.iter().map(Found::title).collect();
                let jobs = target.paths(&titles).into_iter().zip(found);
                jobs.map(|(path, found)| Job { path, title: found.title().to_owned(), tunes: vec![found] })
                    .collect()
            }
        }
    }

    /// What `tunes` in one file are called.
    fn title_of(&self, tunes: &[&Found]) -> String {
        let name = |path: &Path| path.file_stem().map(|name| name.to_string_lossy().into_owned());
        match (&self.title, tunes, &self.from[..]) {
            (Some(title), ..) => title.clone(),
            (_, [tune], _) => tune.title().to_owned(),
            (_, _, [one]) => one.canonicalize().ok().as_deref().and_then(name).unwrap_or_default(),
            _ => name(&self.to).unwrap_or_default(),
        }
    }
}

/// What is asked of every tune.
struct Asked {
    passage: Option<Passage>,
    performance: Performance,
    look: Look,
    notes: bool,
}

impl Asked {
    fn of<'a>(&'a self, found: &'a Found, tell: &'a (dyn Fn(&str) + Sync)) -> Piece<'a> {
        let Self { passage, performance, look, notes } = self;
        Piece { reading: &found.reading, passage: passage.as_ref(), performance, look, notes: *notes, tell }
    }
}

/// A file that is to be made.
struct Job<'f> {
    path: PathBuf,
    title: String,
    tunes: Vec<&'f Found>,
}

impl Job<'_> {
    /// How many tunes it holds, where that is more than one: `, 12 tunes`.
    fn count(&self) -> String {
        if self.tunes.len() > 1 { format!(", {} tunes", self.tunes.len()) } else { String::new() }
    }
}

/// `target`, unless something else is asked for than its form can give.
fn suited(target: Target, out: &Path, asked: &Asked) -> Result<Target, Problem> {
    let is_asked = [
        (Purpose::Seen, asked.look != Look::default()),
        (Purpose::Heard, asked.performance != Performance::default()),
        (Purpose::Read, asked.notes),
    ];
    let form = target.form();
    match is_asked.iter().find(|(purpose, is_asked)| *is_asked && *purpose != form.purpose) {
        None => Ok(target),
        Some((purpose, _)) => {
            let (is, only) = (participle(form.purpose), participle(*purpose));
            let how =
                format!("leave out what is only for files that are {only}; `lope make --help` lists it");
            Err(Problem::new(out, format!("a .{} is {is}: {how}", form.ending)))
        }
    }
}

/// What is done with a file.
const fn participle(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Seen => "seen",
        Purpose::Heard => "heard",
        Purpose::Read => "read by other programs",
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

/// Says which files of `job` hold mistakes that what is made of them shows.
fn warn(form: &Form, job: &Job<'_>) {
    let is_wrong =
        |found: &&&Found| found.reading.findings().iter().any(|finding| finding.level == Level::Error);
    let wrong: BTreeSet<String> = job.tunes.iter().filter(is_wrong).map(|found| shown(&found.path)).collect();
    let sense = if form.purpose == Purpose::Heard { "heard" } else { "seen" };
    for from in wrong {
        output::complain(&format!(
            "{from}: what is wrong in it may be {sense}; `lope check {from}` shows it"
        ));
    }
}

fn make(form: &Form, job: &Job<'_>, asked: &Asked) -> Result<(), Problem> {
    let same = |a: &Path, b: &Path| a.canonicalize().is_ok_and(|a| b.canonicalize().is_ok_and(|b| a == b));
    if job.tunes.iter().any(|found| same(&job.path, &found.path)) {
        return Err(Problem::new(&job.path, "is the tune itself; choose another name"));
    }
    let tell = |remark: &str| output::complain(&format!("{}: {remark}", shown(&job.path)));
    let pieces = job.tunes.iter().map(|found| asked.of(found, &tell)).collect();
    let volume = Volume { title: &job.title, pieces, tell: &tell };
    let mut trouble = None;
    files::put(&job.path, |file| {
        form.write(&volume, file).map_err(|problem| match problem {
            Trouble::Output(error) => error,
            Trouble::Piece(message) => {
                trouble = Some(message);
                io::ErrorKind::InvalidInput.into()
            }
        })
    })
    .map_err(|problem| match (trouble, &job.tunes[..]) {
        (Some(message), [found]) => Problem::new(&found.path, message),
        (Some(message), _) => Problem::new(&job.path, message),
        (None, _) => problem,
    })
}

fn failed(problems: &[Problem]) -> Outcome {
    output::complain_of(problems);
    Outcome::Failed
}
