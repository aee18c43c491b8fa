//! Sessions nobody would think of: messages in any order, texts of any kind. Whatever comes, every question has
//! one answer, nothing panics, and what the server says of its texts at the end is what a fresh one says of the
//! editor's.
//!
//! The sessions are the same every time, and a few. With `LOPE_FUZZ_SECONDS` in the environment they go on for
//! that long, from the number in `LOPE_FUZZ_FROM` on.

mod client;
mod compare;
mod end;

use std::env;
use std::time::{Duration, Instant};

use lope_tests::tunes::Dice;

use client::Client;

/// How many sessions there are where nothing else is said.
const SESSIONS: u64 = 6;

/// The numbers of the sessions to have.
fn sessions() -> Box<dyn Iterator<Item = u64>> {
    let number = |name: &str| env::var(name).ok().map(|value| value.parse::<u64>().unwrap());
    let from = number("LOPE_FUZZ_FROM").unwrap_or(0);
    match number("LOPE_FUZZ_SECONDS") {
        Some(seconds) => {
            let end = Instant::now() + Duration::from_secs(seconds);
            Box::new((from..).take_while(move |_| Instant::now() < end))
        }
        None => Box::new(from..from + SESSIONS),
    }
}

#[test]
fn messages_in_any_order_are_answered_and_the_text_stays_the_editors() {
    for number in sessions() {
        println!("session {number}");
        let mut dice = Dice::new(number);
        let mut client = Client::before_the_handshake(&mut dice);
        client.begin(&mut dice);
        for _ in 0..30 + dice.below(150) {
            client.say_something(&mut dice);
        }
        client.compare_with_a_fresh_server();
        client.end(&mut dice);
    }
}

#[test]
fn whatever_is_typed_the_text_stays_the_editors() {
    for number in sessions() {
        println!("session {number}");
        let mut dice = Dice::new(number ^ 0xed17);
        let mut client = Client::before_the_handshake(&mut dice);
        client.begin(&mut dice);
        for _ in 0..4 {
            for _ in 0..dice.below(60) {
                client.type_something(&mut dice);
            }
            client.compare_with_a_fresh_server();
        }
        client.end(&mut dice);
    }
}
