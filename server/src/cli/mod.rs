//! What is typed: one file for each verb.

mod arrange;
mod check;
mod lsp;
mod make;
mod mend;
mod output;
mod rewrite;
mod rule;
mod run;
mod start;
mod tidy;
mod view;

use std::io;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Banjo tab as text, for the down-picked (clawhammer) style: check it, mend it, keep it tidy.
#[derive(Parser)]
#[command(name = "lope", version, arg_required_else_help = true, disable_help_subcommand = true)]
#[command(subcommand_value_name = "VERB", subcommand_help_heading = "Verbs", max_term_width = 100)]
struct Line {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Subcommand)]
enum Verb {
    Start(start::Start),
    Check(check::Check),
    Mend(mend::Mend),
    Tidy(tidy::Tidy),
    Rule(rule::Rule),
    Arrange(arrange::Arrange),
    Run(run::Run),
    Make(make::Make),
    View(view::View),
    Lsp(lsp::Lsp),
}

/// How it went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Outcome {
    /// Nothing to say against it.
    Clean,
    /// There is something that should be put right.
    Found,
    /// Something could not be done.
    Failed,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(match outcome {
            Outcome::Clean => 0,
            Outcome::Found => 1,
            Outcome::Failed => 2,
        })
    }
}

/// Does what the command line says.
pub fn run() -> ExitCode {
    let done = match Line::parse().verb {
        Verb::Start(start) => start.run(),
        Verb::Check(check) => check.run(),
        Verb::Mend(mend) => mend.run(),
        Verb::Tidy(tidy) => tidy.run(),
        Verb::Rule(rule) => rule.run(),
        Verb::Arrange(arrange) => arrange.run(),
        Verb::Run(run) => run.run(),
        Verb::Make(make) => make.run(),
        Verb::View(view) => view.run(),
        Verb::Lsp(lsp) => return lsp.run(),
    };
    match done {
        Ok(outcome) => outcome.into(),
        // Whoever read the output has had enough of it.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Outcome::Failed.into(),
        Err(error) => {
            output::complain(&format!("cannot write the output: {}", crate::files::reason(&error)));
            Outcome::Failed.into()
        }
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_well_formed() {
        super::Line::command().debug_assert();
    }
}
