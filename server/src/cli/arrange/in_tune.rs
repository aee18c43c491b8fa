//! The melodies of a tune file turned into tab in it.

use std::path::Path;
use std::sync::Arc;

use lope_arrange::{Level, Style};
use lope_desk::{Entry, Offer, Page, Reading, apply};

use crate::cli::output;
use crate::config::Books;
use crate::files::{self, Problem, shown};

/// The text of the tune file `path` with a part below each of its melodies, each in the way numbered `choice`,
/// counted from the easiest; says what was chosen and what else there is.
pub fn with_tab(path: &Path, style: Style, level: Level, choice: u8) -> Result<String, Problem> {
    let books = Arc::new(Books::default());
    let paths = [path.to_owned()];
    let walked = files::each(&paths, path, &books, |source| {
        let page = Page::read(source.text, source.settings);
        if page.entries().all(|entry| entry.reading.written().melodies.is_empty()) {
            let what = "holds no melody: write one under `melody A`, in pitches such as d4 and f#4";
            return Err(Problem::new(path, what));
        }
        let tunes: Result<Vec<String>, Problem> =
            page.entries().map(|entry| tune(path, entry, style, level, choice)).collect();
        Ok(tunes?.concat())
    });
    match (walked.done.into_iter().next(), walked.problems.into_iter().next()) {
        (_, Some(problem)) => Err(problem),
        (Some((_, text)), None) => Ok(text),
        (None, None) => Err(Problem::new(path, "holds no tune")),
    }
}

/// The text of one tune with its melodies in tab.
fn tune(path: &Path, entry: Entry<'_>, style: Style, level: Level, choice: u8) -> Result<String, Problem> {
    let settings = entry.reading.settings();
    let mut text = entry.reading.text().to_owned();
    // From the last to the first, so that each stands on the line where it was written.
    for number in (0..entry.reading.written().melodies.len()).rev() {
        let reading = Reading::new(text.as_str(), settings);
        let Some(melody) = reading.written().melodies.get(number) else { break };
        let line = entry.spot(melody.heading().start).line + 1;
        let problem = |message| Problem { path: path.to_owned(), at: Some((line, 1)), message };
        let offers = reading.tab_of(melody, style, level).map_err(problem)?;
        let chosen = chosen(&offers, choice).map_err(problem)?;
        for (number, offer) in (1..).zip(&offers) {
            let mark = if number == choice { "chosen" } else { "or" };
            output::complain(&format!("{}:{line}: {mark} {number}: {}", shown(path), offer.title));
        }
        text = apply(reading.text(), &chosen.edits.clone().map_err(problem)?);
    }
    Ok(text)
}

fn chosen(offers: &[Offer], choice: u8) -> Result<&Offer, String> {
    let found = offers.get(usize::from(choice) - 1);
    found.ok_or_else(|| format!("there is no choice {choice}: {} found", offers.len()))
}
