//! The tunes that are to be made.

use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use lope_desk::{Page, Reading, nearest};

use crate::cli::output;
use crate::config::Books;
use crate::examine::{mistakes_of, no_tunes};
use crate::files::{self, Problem, shown};

/// A tune, and the file it was read from.
pub struct Found {
    pub path: PathBuf,
    pub reading: Arc<Reading>,
}

impl Found {
    pub fn title(&self) -> &str {
        &self.reading.tune().header.title
    }
}

/// Every tune of `from`: in the order in which they are named, below a folder in the order of the files.
pub fn read(from: &[PathBuf]) -> (Vec<Found>, Vec<Problem>) {
    let books = Arc::new(Books::default());
    let (mut found, mut problems, mut met) = (Vec::new(), Vec::new(), HashSet::new());
    for named in from {
        let walked =
            files::each(std::slice::from_ref(named), Path::new(files::STANDARD_INPUT), &books, |source| {
                Ok(Page::read(source.text, source.settings)
                    .entries()
                    .map(|entry| Arc::clone(entry.reading))
                    .collect::<Vec<_>>())
            });
        problems.extend(walked.problems);
        for (path, readings) in walked.done {
            if met.insert(path.clone()) {
                found.extend(readings.into_iter().map(|reading| Found { path: path.clone(), reading }));
            }
        }
    }
    if found.is_empty() && problems.is_empty() {
        problems.extend(no_tunes(from));
    }
    output::complain_of(&mistakes_of(&books));
    (found, problems)
}

/// Those of `found` that are called `wanted`, or all of them; `several` says whether there may be more than one.
pub fn choose(
    found: Vec<Found>,
    from: &[PathBuf],
    wanted: Option<&str>,
    several: bool,
) -> Result<Vec<Found>, Problem> {
    let titles: Vec<String> = found.iter().map(|found| found.title().to_owned()).collect();
    let chosen: Vec<Found> = match wanted {
        Some(wanted) => {
            found.into_iter().filter(|found| found.title().eq_ignore_ascii_case(wanted)).collect()
        }
        None => found,
    };
    match wanted {
        Some(wanted) if chosen.is_empty() && !titles.is_empty() => {
            let near = nearest(wanted, titles.iter().map(String::as_str));
            let near = near.map_or_else(|| listed(&titles), |near| format!("did you mean `{near}`?"));
            Err(problem(from, format!("holds no tune called `{wanted}`; {near}")))
        }
        _ if chosen.len() > 1 && !several => {
            let how = "choose one with --tune TITLE, or name a folder and what to make with --as";
            Err(problem(from, format!("holds {} tunes; {how}; {}", chosen.len(), listed(&titles))))
        }
        _ => Ok(chosen),
    }
}

fn problem(from: &[PathBuf], message: String) -> Problem {
    let named: Vec<String> = from.iter().map(|path| shown(path)).collect();
    Problem::new(Path::new(&named.join(" ")), message)
}

/// Some of `titles` in a sentence.
fn listed(titles: &[String]) -> String {
    const MOST: usize = 12;
    let named: Vec<String> = titles.iter().take(MOST).map(|title| format!("`{title}`")).collect();
    let more = if titles.len() > MOST { format!(" and {} more", titles.len() - MOST) } else { String::new() };
    format!("there are {}{more}", named.join(", "))
}
