use clap::{Args, ValueEnum};
use lope_sheet::Paper;

use crate::make::{DOTS, Look, WIDTHS};

/// What is seen, and how.
#[derive(Args)]
#[command(next_help_heading = "What is seen")]
pub struct Seen {
    /// What it is printed on
    #[arg(long, value_enum, value_name = "PAPER", default_value = "a4")]
    paper: PaperName,
    /// Print it large, to read from a stand
    #[arg(long)]
    large: bool,
    /// Show what `lope check` finds beside the bars it is about
    #[arg(long)]
    findings: bool,
    /// Leave this out below the strings
    #[arg(long, value_enum, value_delimiter = ',', value_name = "WHAT,...")]
    without: Vec<Lane>,
    /// Characters to a line of plain text
    #[arg(long, value_name = "COUNT", default_value = "72", value_parser = in_range(&WIDTHS))]
    width: u16,
    /// Dots to an inch of a .png
    #[arg(long, value_name = "COUNT", default_value = "150", value_parser = in_range(&DOTS))]
    dots: u16,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum PaperName {
    A4,
    Letter,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Lane {
    /// What the right hand does
    Strokes,
    /// The count
    Count,
}

impl Seen {
    /// How tunes are shown.
    pub fn look(&self) -> Look {
        let paper = match self.paper {
            PaperName::A4 => Paper::A4,
            PaperName::Letter => Paper::Letter,
        };
        let shown = |lane| !self.without.contains(&lane);
        let (strokes, count) = (shown(Lane::Strokes), shown(Lane::Count));
        let Self { large, findings, width, dots, .. } = *self;
        Look { paper, large, strokes, count, findings, width, dots }
    }
}

fn in_range(range: &std::ops::RangeInclusive<u16>) -> clap::builder::RangedI64ValueParser<u16> {
    clap::value_parser!(u16).range(i64::from(*range.start())..=i64::from(*range.end()))
}
