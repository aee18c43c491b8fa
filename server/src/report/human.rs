//! The report for a player: tune by tune, each finding where a player would say it is.

use std::io::{self, Write};

use anstyle::{AnsiColor, Style};
use lope_desk::Level;

use super::{FileReport, Item, Report};
use crate::files::{legible, shown};

/// How a terminal shows what stands out. What a colour says is said by a word or a mark as well, and no
/// two of them differ in red and green alone.
#[derive(Clone, Copy, Default)]
pub struct Look {
    /// Titles.
    pub title: Style,
    /// Errors, and lines that go.
    pub error: Style,
    /// Warnings.
    pub warning: Style,
    /// Hints, and lines that come.
    pub hint: Style,
    /// What can be skipped.
    pub faint: Style,
}

impl Look {
    /// In colour.
    pub const fn colourful() -> Self {
        const fn colour(colour: AnsiColor) -> Style {
            colour.on_default()
        }
        Self {
            title: Style::new().bold(),
            error: colour(AnsiColor::Magenta).bold(),
            warning: colour(AnsiColor::Yellow),
            hint: colour(AnsiColor::Cyan),
            faint: Style::new().dimmed(),
        }
    }

    const fn of(&self, level: Level) -> Style {
        match level {
            Level::Error => self.error,
            Level::Warning => self.warning,
            Level::Hint => self.hint,
        }
    }
}

/// What marks a finding under its line, so that its level can be seen without colour.
const fn mark(level: Level) -> &'static str {
    match level {
        Level::Error => "!",
        Level::Warning => "=",
        Level::Hint => "~",
    }
}

pub fn write(report: &Report, look: &Look, out: &mut dyn Write) -> io::Result<()> {
    for file in &report.files {
        write_file(file, look, out)?;
    }
    write_summary(report, out)
}

fn write_file(file: &FileReport, look: &Look, out: &mut dyn Write) -> io::Result<()> {
    let path = legible(&shown(&file.path));
    let mut tune = None;
    for item in &file.items {
        if tune != Some(&item.tune) {
            let title = if item.tune.is_empty() { path.clone() } else { legible(&item.tune) };
            writeln!(out, "{0}{title}{0:#}\n", look.title)?;
            tune = Some(&item.tune);
        }
        write_item(item, &path, look, out)?;
    }
    Ok(())
}

fn write_item(item: &Item, path: &str, look: &Look, out: &mut dyn Write) -> io::Result<()> {
    let style = look.of(item.level);
    let excerpt = &item.excerpt;
    let at = item.at.start;
    writeln!(out, "  {}", legible(&item.sentence()))?;
    writeln!(out, "      {}", excerpt.text)?;
    writeln!(
        out,
        "      {:indent$}{style}{}{style:#}",
        "",
        mark(item.level).repeat(excerpt.mark_len),
        indent = excerpt.mark_at
    )?;
    writeln!(out, "      {style}{}{style:#} {}, {path}:{}:{}", item.level, item.rule, at.line, at.column)?;
    if let Some(mend) = item.mends.first() {
        let safe = if mend.safe { "mend" } else { "mend by choice" };
        writeln!(out, "      {0}{safe}: {1}{0:#}", look.faint, mend.title)?;
    }
    writeln!(out)
}

fn write_summary(report: &Report, out: &mut dyn Write) -> io::Result<()> {
    let files = report.files.len();
    let with_findings = report.files.iter().filter(|file| !file.items.is_empty()).count();
    if with_findings == 0 {
        return writeln!(out, "{} checked, nothing found", counted(files, "file"));
    }
    let levels: Vec<String> = Level::ALL
        .into_iter()
        .rev()
        .map(|level| (report.count(level), level.name()))
        .filter(|(count, _)| *count > 0)
        .map(|(count, name)| counted(count, name))
        .collect();
    writeln!(out, "{} in {with_findings} of {}", levels.join(", "), counted(files, "file"))?;
    let safe = report.items().filter(|item| item.mends.iter().any(|mend| mend.safe)).count();
    if safe > 0 {
        writeln!(out, "{safe} can be put right by `lope mend`, with every pitch and every time kept")?;
    }
    Ok(())
}

/// `1 file`, `2 files`.
pub fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}
