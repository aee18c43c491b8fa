//! The report as workflow commands: lines a CI host reads from the output and shows beside the change.

use std::io::{self, Write};

use lope_desk::Level;

use super::{Item, Report};
use crate::files::shown;

pub fn write(report: &Report, out: &mut dyn Write) -> io::Result<()> {
    for file in &report.files {
        for item in &file.items {
            write_item(item, &shown(&file.path), out)?;
        }
    }
    for problem in &report.problems {
        let file = property(&shown(&problem.path));
        let place =
            problem.at.map_or_else(String::new, |(line, column)| format!(",line={line},col={column}"));
        writeln!(out, "::error file={file}{place},title=lope::{}", data(&problem.message))?;
    }
    Ok(())
}

fn write_item(item: &Item, path: &str, out: &mut dyn Write) -> io::Result<()> {
    let command = match item.level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Hint => "notice",
    };
    let (start, end) = (item.at.start, item.at.end);
    write!(out, "::{command} file={},line={},endLine={}", property(path), start.line, end.line)?;
    // Columns are heard only for a stretch within one line.
    if start.line == end.line {
        write!(out, ",col={},endColumn={}", start.column, end.column)?;
    }
    writeln!(out, ",title={}::{}", item.rule, data(&item.sentence()))
}

/// A message, with what would end it written otherwise.
fn data(text: &str) -> String {
    text.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

/// A property's value, with what would end it written otherwise.
fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}
