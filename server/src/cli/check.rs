use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use lope_desk::Level;

use super::{Outcome, output};
use crate::examine::examine;
use crate::report::Form;

/// Find what makes a tune stumble
///
/// Each finding is placed as a player says it (part, bar, count) and as file:line:column, under its line
/// of tab. The exit status is 0 where nothing was found at the level of --fail-on, 1 where something was, and
/// 2 where something could not be read.
#[derive(Args)]
pub struct Check {
    /// Files and folders; `-` for standard input
    #[arg(value_name = "PATH", default_value = ".")]
    paths: Vec<PathBuf>,
    /// What to call standard input; its folder says which book it belongs to
    #[arg(long, value_name = "PATH", default_value = "-")]
    name: PathBuf,
    /// The form of the report, where another program reads it
    #[arg(long = "as", value_name = "FORM")]
    form: Option<Form>,
    /// The mildest level at which the check fails
    #[arg(long, value_name = "LEVEL", default_value = "warning", value_parser = level_parser())]
    fail_on: Level,
}

fn level_parser() -> impl TypedValueParser<Value = Level> {
    PossibleValuesParser::new(Level::ALL.map(Level::name))
        .map(|name| Level::ALL.into_iter().find(|level| level.name() == name).unwrap_or(Level::Warning))
}

impl Check {
    pub fn run(self) -> io::Result<Outcome> {
        let report = examine(&self.paths, &self.name, self.fail_on);
        output::complain_of(&report.problems);
        let mut out = output::standard();
        report.write(self.form, &output::look(), &mut out)?;
        out.flush()?;
        Ok(match report {
            _ if !report.problems.is_empty() => Outcome::Failed,
            _ if report.fails() => Outcome::Found,
            _ => Outcome::Clean,
        })
    }
}
