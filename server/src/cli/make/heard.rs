use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use lope_sound::{Hand, Hands, MOST_TIMES, Performance, SPEEDS};

/// What is heard, and how.
#[derive(Args)]
#[command(next_help_heading = "What is heard")]
pub struct Heard {
    /// How often it is played over
    #[arg(long, value_name = "COUNT", default_value = "1", value_parser = times_parser())]
    times: u32,
    /// Percent of the written tempo, 10 to 200; pitch stays
    #[arg(long, value_name = "PERCENT", default_value = "100", value_parser = speed_parser())]
    speed: u32,
    /// Count a bar before it starts
    #[arg(long)]
    count_in: bool,
    /// Click on every beat
    #[arg(long)]
    click: bool,
    /// Only one hand's notes, or the drone's; may stand several times
    #[arg(long, value_name = "HAND", value_parser = hand_parser())]
    only: Vec<Hand>,
}

impl Heard {
    /// How they are played.
    pub fn performance(&self) -> Performance {
        Performance {
            speed: self.speed,
            count_in: self.count_in,
            click: self.click,
            hands: if self.only.is_empty() { Hands::ALL } else { Hands::only(&self.only) },
            passage: None,
            times: self.times,
        }
    }
}

fn hand_parser() -> impl TypedValueParser<Value = Hand> {
    PossibleValuesParser::new(Hand::ALL.map(Hand::name))
        .map(|name| Hand::ALL.into_iter().find(|hand| hand.name() == name).unwrap_or(Hand::Right))
}

fn times_parser() -> impl TypedValueParser<Value = u32> {
    clap::value_parser!(u32).range(1..=i64::from(MOST_TIMES))
}

fn speed_parser() -> impl TypedValueParser<Value = u32> {
    clap::value_parser!(u32).range(i64::from(*SPEEDS.start())..=i64::from(*SPEEDS.end()))
}
