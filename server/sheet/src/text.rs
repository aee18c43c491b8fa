//! A tune as five lines of plain text, which line up in any font whose letters are all as wide as each other.
//!
//! ```text
//! The Heron at Low Water                                               jig
//! 6/8, 104 beats a minute, open G tuning, gDGBD
//! 2 letters to 1/8; h hammer-on, p pull-off
//!
//! part A, twice
//! D |--0|-----------0|
//! B |---|-----0------|
//! G |---|-0-------p0-|
//! ```
//!
//! Time goes by columns: in a bar, everything stands as many letters from the bar line as it is late. A slot
//! is as many letters as the third line says; a bar with finer notes is a whole number of times as wide.
//! Before each fret stands one letter: `h`, `p` or `s` for a slur, else `-`. A note lasts until the next or
//! until `_`, a silence, which stands on the third string; a bar that starts with dashes rings on. `%` is the
//! bar before once more, `?` what cannot be read. A line that does not end in `|` goes on in the next.
//!
//! Above the strings stand marks (`!` accent, `~` vibrato, `^` choke, `i m r p` fingers), chord symbols and
//! words; below, where asked for, strokes (`x` struck, `o` in the air, `t` thumb, `l` left hand) and the count.

mod lines;
mod strip;

use lope_hand::Hand;
use lope_tune::{How, Tune};
use unicode_width::UnicodeWidthStr;

use crate::layout::facts;
use crate::score::{Content, Contents, Drawn, Ending, Heading, Score};
use crate::spelling;
use crate::wishes::Passage;
use strip::{Strip, Widths};

/// How plain text is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plain {
    /// How many letters fit in a line; 24 at least.
    pub width: usize,
    /// Whether the strokes of the right hand stand below the strings.
    pub strokes: bool,
    /// Whether the count does.
    pub count: bool,
    /// What is written, where that is not the whole tune.
    pub passage: Option<Passage>,
}

impl Default for Plain {
    /// Lines of 72 letters, which mail leaves as they are, without strokes and counts.
    fn default() -> Self {
        Self { width: 72, strokes: false, count: false, passage: None }
    }
}

/// Writes `tune`, which is played as `hand` says.
pub fn text(tune: &Tune, hand: &Hand, plain: &Plain) -> String {
    let width = plain.width.max(24);
    let score = Score::of(tune, plain.passage.as_ref());
    let widths = Widths::of(tune, &score, plain.count);
    let mut out = Vec::new();
    title(tune, width, &mut out);
    legend(tune, &score, widths, plain, width, &mut out);
    for part in parts(&score.bars) {
        out.push(String::new());
        out.push(heading(&part[0], part));
        let strips: Vec<Strip> =
            part.iter().map(|drawn| strip_of(tune, hand, drawn, widths, plain)).collect();
        lines::write(&spelling::strings(&tune.header.tuning), part, &strips, width, &mut out);
    }
    if score.bars.is_empty() {
        out.extend([String::new(), "No music yet.".to_owned()]);
    }
    if score.cut {
        out.extend([String::new(), format!("The tab ends here: it has {} bars.", score.bars.len())]);
    }
    let mut out: String = out.iter().flat_map(|line| [line.trim_end(), "\n"]).collect();
    out.truncate(out.trim_end().len());
    out.push('\n');
    out
}

fn strip_of(tune: &Tune, hand: &Hand, drawn: &Drawn, widths: Widths, plain: &Plain) -> Strip {
    match &drawn.content {
        Content::Slots => Strip::slots(tune, drawn.bar, &Contents::of(tune, hand, drawn.bar), widths, plain),
        Content::Again => Strip::sign('%', tune, drawn, widths),
        Content::Gap(words) => {
            let mut strip = Strip::sign('?', tune, drawn, widths);
            if !words.is_empty() {
                strip.labels.push((0, words.clone()));
            }
            strip
        }
    }
}

/// The bars of each part or phrase with its endings.
fn parts(bars: &[Drawn]) -> impl Iterator<Item = &[Drawn]> {
    bars.chunk_by(|_, next| next.heading.is_none())
}

fn title(tune: &Tune, width: usize, out: &mut Vec<String>) {
    let header = &tune.header;
    let kind = header.kind.as_deref().unwrap_or_default();
    let title = if header.title.trim().is_empty() { "(no title)" } else { header.title.trim() };
    let room = (width - 1).saturating_sub(kind.width());
    if title.width() <= room && !kind.is_empty() {
        out.push(format!("{title}{}{kind}", " ".repeat(width - title.width() - kind.width())));
    } else {
        out.extend(wrapped(title, width));
        out.extend(Some(kind.to_owned()).filter(|kind| !kind.is_empty()));
    }
    out.extend(header.by.iter().map(|by| format!("by {by}")));
    let frame = tune.bars.first().map(|bar| tune.frame(bar)).or(tune.frames.first());
    let mut said: Vec<String> = frame
        .iter()
        .flat_map(|frame| [frame.meter.to_string(), format!("{} beats a minute", frame.tempo)])
        .collect();
    said.extend(facts(tune));
    out.extend(wrapped(&said.join(", "), width));
}

/// Says how wide a slot is and what the letters mean that come up.
fn legend(tune: &Tune, score: &Score, widths: Widths, plain: &Plain, width: usize, out: &mut Vec<String>) {
    let slot = tune.bars.first().map_or(lope_tune::Duration::new(1, 8), |bar| tune.frame(bar).unit);
    let mut said = format!("{} letters to {}/{}", widths.slot, slot.numerator(), slot.denominator());
    let has = |how: How| tune.notes.iter().any(|note| note.how == how);
    let marked = |mark: fn(&lope_tune::Marks) -> bool| tune.notes.iter().any(|note| mark(&note.marks));
    let strokes = plain.strokes && !score.bars.is_empty();
    let meanings = [
        (has(How::Hammer), "h hammer-on"),
        (has(How::Pull), "p pull-off"),
        (has(How::Slide), "s slide"),
        (marked(|marks| marks.accent), "! accent"),
        (marked(|marks| marks.vibrato), "~ vibrato"),
        (marked(|marks| marks.choke), "^ choke"),
        (strokes, "x strike"),
        (strokes, "o fall on air"),
        (strokes, "t thumb"),
        (strokes, "l left hand alone"),
    ];
    let meanings: Vec<&str> =
        meanings.iter().filter(|(comes_up, _)| *comes_up).map(|(_, meaning)| *meaning).collect();
    if !meanings.is_empty() {
        said = said + "; " + &meanings.join(", ");
    }
    out.extend(wrapped(&said, width));
}

/// The heading of a part, with how often it is played in words.
fn heading(first: &Drawn, part: &[Drawn]) -> String {
    use crate::score::Closing;

    let name = match &first.heading {
        Some(Heading::Part(name)) => format!("part {name}"),
        Some(Heading::Phrase(name)) => return format!("phrase {name}, which nothing calls"),
        None => String::new(),
    };
    let last = part.last().map(|bar| bar.closes);
    let ends = part.iter().filter_map(|bar| bar.ending.as_ref()).flat_map(ending_numbers).max();
    let times = match (ends, last) {
        (Some(times), _) if first.opens == crate::score::Opening::Repeat => times,
        (None, Some(Closing::Repeat(times))) => times,
        _ => 1,
    };
    match times {
        1 => name,
        2 => format!("{name}, twice"),
        times => format!("{name}, {times} times"),
    }
}

fn ending_numbers(ending: &Ending) -> impl Iterator<Item = u32> {
    ending.label.split(", ").filter_map(|number| number.parse().ok())
}

fn wrapped(words: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in words.split_whitespace() {
        let last = lines.len() - 1;
        if lines[last].is_empty() {
            lines[last].push_str(word);
        } else if lines[last].width() + 1 + word.width() <= width {
            lines[last].push(' ');
            lines[last].push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

#[cfg(test)]
mod tests;
