use std::collections::BTreeSet;
use std::io::{self, Write};
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use lope_desk::{Level, Page, Reading, nearest};
use lope_sound::{Hand, Hands, MOST_TIMES, Performance, SPEEDS};

use super::{Outcome, output};
use crate::config::Books;
use crate::examine::{mistakes_of, no_tunes};
use crate::files::{self, Problem, shown};
use crate::make::{FORMS, Form, Passage, Piece, Trouble, endings, form};

/// Make a tune into something to hear
///
/// The ending of OUT says what is made: .mid is a standard MIDI file, .wav is sound. Where OUT is a folder, --as
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
    #[command(flatten)]
    sound: Sound,
}

/// What is heard, and how.
#[derive(Args)]
#[command(next_help_heading = "What is heard")]
struct Sound {
    /// Only this part, once
    #[arg(long, value_name = "PART")]
    part: Option<String>,
    /// Only these bars of the part, such as 3-4; 0 is the pickup
    #[arg(long, value_name = "BARS", requires = "part", value_parser = bars)]
    bars: Option<RangeInclusive<u32>>,
    /// How often it is played over
    #[arg(long, value_name = "COUNT", default_value = "1", value_parser = times_parser())]
    times: u32,
    /// Percent of the written tempo, 10 to 200; pitch stays
    #[arg(long, value_name = "PERCENT", default_value = "100", value_parser = speed_parser())]
    speed: u32,
    /// Count a bar before it starts
    #[arg(long)]
    count_in: bool,
    /// Click on every beat
    #[arg(long)]
    click: bool,
    /// Only one hand's notes, or the drone's; may stand several times
    #[arg(long, value_name = "HAND", value_parser = hand_parser())]
    only: Vec<Hand>,
}

fn form_parser() -> PossibleValuesParser {
    FORMS.iter().map(|form| clap::builder::PossibleValue::new(form.ending).help(form.about)).into()
}

fn hand_parser() -> impl TypedValueParser<Value = Hand> {
    PossibleValuesParser::new(Hand::ALL.map(Hand::name))
        .map(|name| Hand::ALL.into_iter().find(|hand| hand.name() == name).unwrap_or(Hand::Right))
}

fn times_parser() -> impl TypedValueParser<Value = u32> {
    clap::value_parser!(u32).range(1..=i64::from(MOST_TIMES))
}

fn speed_parser() -> impl TypedValueParser<Value = u32> {
    clap::value_parser!(u32).range(i64::from(*SPEEDS.start())..=i64::from(*SPEEDS.end()))
}

/// Reads `3-4`, or `3` for one bar.
fn bars(text: &str) -> Result<RangeInclusive<u32>, String> {
    let (first, last) = text.split_once('-').unwrap_or((text, text));
    let number =
        |text: &str| text.trim().parse().map_err(|_| "bars are two numbers such as 3-4, or one".to_owned());
    let (first, last) = (number(first)?, number(last)?);
    if first > last { Err("the first bar comes after the last".to_owned()) } else { Ok(first..=last) }
}

/// A tune, and the file it was read from.
struct Found {
    path: PathBuf,
    reading: Arc<Reading>,
}

impl Make {
    pub fn run(self) -> io::Result<Outcome> {
        let target = match self.target() {
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
        let (passage, performance) = (self.sound.passage(), self.sound.performance());
        let mut out = output::standard();
        for (path, found) in target.paths(&found).into_iter().zip(&found) {
            let piece =
                Piece { reading: &found.reading, passage: passage.as_ref(), performance: &performance };
            match make(target.form(), &piece, &path, found) {
                Ok(()) => writeln!(out, "{}: made", shown(&path))?,
                Err(problem) => problems.push(problem),
            }
        }
        out.flush()?;
        Ok(if problems.is_empty() { Outcome::Clean } else { failed(&problems) })
    }

    fn target(&self) -> Result<Target, Problem> {
        let to = &self.to;
        if let Some(form) = self.form.as_deref().and_then(form) {
            if to.is_file() {
                return Err(Problem::new(to, "is a file; with --as, OUT is the folder to put the files in"));
            }
            std::fs::create_dir_all(to).map_err(|error| Problem::system(to, "make the folder", &error))?;
            return Ok(Target::Folder { folder: to.clone(), form });
        }
        if to.is_dir() {
            return Err(Problem::new(
                to,
                "is a folder; say with --as what to make of each tune, such as --as mid",
            ));
        }
        let ending = to.extension().unwrap_or_default().to_string_lossy();
        match form(&ending) {
            Some(form) => Ok(Target::File { path: to.clone(), form }),
            None => Err(Problem::new(
                to,
                format!("its ending says nothing that can be made: choose {}", endings()),
            )),
        }
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
        let title = |found: &Found| found.reading.tune().header.title.clone();
        let titles: Vec<String> = found.iter().map(title).collect();
        let chosen: Vec<Found> = match &self.tune {
            Some(wanted) => {
                found.into_iter().filter(|found| title(found).eq_ignore_ascii_case(wanted)).collect()
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

/// Some of `titles` in a sentence.
fn listed(titles: &[String]) -> String {
    const MOST: usize = 12;
    let named: Vec<String> = titles.iter().take(MOST).map(|title| format!("`{title}`")).collect();
    let more = if titles.len() > MOST { format!(" and {} more", titles.len() - MOST) } else { String::new() };
    format!("there are {}{more}", named.join(", "))
}

impl Sound {
    fn passage(&self) -> Option<Passage> {
        self.part.clone().map(|part| Passage { part, bars: self.bars.clone() })
    }

    fn performance(&self) -> Performance {
        Performance {
            speed: self.speed,
            count_in: self.count_in,
            click: self.click,
            hands: if self.only.is_empty() { Hands::ALL } else { Hands::only(&self.only) },
            passage: None,
            times: self.times,
        }
    }
}

/// Where what is made goes.
enum Target {
    File { path: PathBuf, form: &'static Form },
    Folder { folder: PathBuf, form: &'static Form },
}

impl Target {
    const fn form(&self) -> &'static Form {
        match self {
            Self::File { form, .. } | Self::Folder { form, .. } => form,
        }
    }

    /// The file for each of `found`; in a folder no two have one name.
    fn paths(&self, found: &[Found]) -> Vec<PathBuf> {
        match self {
            Self::File { path, .. } => vec![path.clone()],
            Self::Folder { folder, form } => {
                let mut taken = BTreeSet::new();
                let names = found
                    .iter()
                    .map(|found| free(&file_name(&found.reading.tune().header.title), &mut taken));
                names.map(|name| folder.join(format!("{name}.{}", form.ending))).collect()
            }
        }
    }
}

/// A title as the name of a file: small letters and digits with `-` between the words.
fn file_name(title: &str) -> String {
    let words = title.split(|letter: char| !letter.is_alphanumeric() && letter != '\'');
    let words = words.map(|word| word.replace('\'', "").to_lowercase()).filter(|word| !word.is_empty());
    let name = words.collect::<Vec<_>>().join("-");
    // File systems allow names of 255 bytes.
    let short: String =
        name.char_indices().take_while(|(at, _)| *at < 200).map(|(_, letter)| letter).collect();
    if short.is_empty() { "tune".to_owned() } else { short }
}

/// `name`, or the first of `name-2`, `name-3` and so on that is not `taken`.
fn free(name: &str, taken: &mut BTreeSet<String>) -> String {
    let numbered = (2..).map(|number| format!("{name}-{number}"));
    let mut names = std::iter::once(name.to_owned()).chain(numbered);
    let free = names.find(|name| !taken.contains(name)).unwrap_or_default();
    taken.insert(free.clone());
    free
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
        (form.write)(piece, file).or_else(|problem| match problem {
            Trouble::Output(error) => Err(error),
            Trouble::Piece(message) => {
                trouble = Some(message);
                Err(io::ErrorKind::InvalidInput.into())
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
