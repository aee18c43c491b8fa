use std::ops::RangeInclusive;

use clap::Args;
use lope_sheet::Passage;

/// Which bars.
#[derive(Args)]
pub struct Bars {
    /// Only this part, once
    #[arg(long, value_name = "PART")]
    part: Option<String>,
    /// Only these bars of the part, such as 3-4; 0 is the pickup
    #[arg(long, value_name = "BARS", requires = "part", value_parser = bars)]
    bars: Option<RangeInclusive<u32>>,
}

impl Bars {
    /// The bars that are asked for, where not all of them.
    pub fn passage(&self) -> Option<Passage> {
        self.part.clone().map(|part| Passage { part, bars: self.bars.clone() })
    }
}

/// Reads `3-4`, or `3` for one bar.
fn bars(text: &str) -> Result<RangeInclusive<u32>, String> {
    let (first, last) = text.split_once('-').unwrap_or((text, text));
    let number =
        |text: &str| text.trim().parse().map_err(|_| "bars are two numbers such as 3-4, or one".to_owned());
    let (first, last) = (number(first)?, number(last)?);
    if first > last { Err("the first bar comes after the last".to_owned()) } else { Ok(first..=last) }
}
