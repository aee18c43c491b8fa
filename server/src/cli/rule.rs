use std::io::{self, Write};

use clap::Args;
use lope_desk::RULES;
use lope_desk::nearest;

use super::{Outcome, output};
use crate::config::schema;
use crate::report::{family, page, usual_level};

/// Read a rule's page, or the list of all rules
#[derive(Args)]
pub struct Rule {
    /// The rule; all of them in a list where there is none
    name: Option<String>,
    /// Print the JSON Schema of lope.toml, for editors that check TOML by one
    #[arg(long, conflicts_with = "name")]
    schema: bool,
}

impl Rule {
    pub fn run(self) -> io::Result<Outcome> {
        let mut out = output::standard();
        match self.name {
            _ if self.schema => writeln!(out, "{:#}", schema())?,
            None => list(&mut out)?,
            Some(name) => match RULES.iter().find(|rule| rule.name == name) {
                Some(rule) => out.write_all(page(rule).as_bytes())?,
                None => {
                    output::complain(&unknown(&name));
                    return Ok(Outcome::Failed);
                }
            },
        }
        out.flush()?;
        Ok(Outcome::Clean)
    }
}

fn list(out: &mut dyn Write) -> io::Result<()> {
    let width = RULES.iter().map(|rule| rule.name.len()).max().unwrap_or_default();
    let mut last = None;
    for rule in RULES {
        if last != Some(rule.family) {
            let gap = if last.is_some() { "\n" } else { "" };
            writeln!(out, "{gap}{}", family(rule.family))?;
            last = Some(rule.family);
        }
        writeln!(out, "  {:width$}  {:7}  {}", rule.name, usual_level(rule), rule.page.finds)?;
    }
    writeln!(out, "\n`lope rule NAME` shows why a rule matters, with an example and what its mend does")
}

fn unknown(name: &str) -> String {
    let near = nearest(name, RULES.iter().map(|rule| rule.name));
    match near {
        Some(near) => format!("there is no rule `{name}`; did you mean `{near}`?"),
        None => format!("there is no rule `{name}`; `lope rule` lists them all"),
    }
}
