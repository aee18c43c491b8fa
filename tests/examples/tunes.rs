//! Writes tunes made to measure, for the benchmarks.
//!
//! `tunes file BYTES [one]` prints one file of tunes; `tunes book FOLDER COUNT BYTES [one]` writes a book
//! of COUNT files of one tune each. With `one`, each file has one finding in it. All are tidy, as a book
//! is that somebody keeps.

#![allow(clippy::expect_used, reason = "a tool of the benchmarks, run by hand")]

use std::path::Path;
use std::{env, fs, process::ExitCode};

use lope_tests::tunes::{self, Trouble};

/// Files in a folder of a book; a few hundred is what a player's shelf looks like.
const SHELF: u64 = 250;

fn main() -> ExitCode {
    let args: Vec<String> = env::args().skip(1).collect();
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    match args[..] {
        ["file", bytes, ref rest @ ..] => print!("{}", file(number(bytes), trouble(rest))),
        ["book", folder, count, bytes, ref rest @ ..] => {
            book(Path::new(folder), number(count) as u64, number(bytes), trouble(rest));
        }
        _ => {
            eprintln!("usage: tunes file BYTES [one] | tunes book FOLDER COUNT BYTES [one]");
            return ExitCode::from(2);
        }
    }
    ExitCode::SUCCESS
}

/// A file in which the last tune has the finding, if one is to be there.
fn file(bytes: usize, trouble: Trouble) -> String {
    let clean = tunes::file(1, loose(bytes), Trouble::None);
    tidy(&match trouble {
        Trouble::None => clean,
        _ => format!("{clean}\n{}", tunes::tune(0, 1, trouble)),
    })
}

fn book(folder: &Path, count: u64, bytes: usize, trouble: Trouble) {
    for seed in 0..count {
        let shelf = folder.join(format!("shelf-{}", seed / SHELF));
        fs::create_dir_all(&shelf).expect("a folder can be made");
        let path = shelf.join(format!("tune-{seed}.lope"));
        fs::write(path, tidy(&tunes::tune(seed, loose(bytes), trouble))).expect("a tune can be written");
    }
}

fn tidy(text: &str) -> String {
    lope_desk::tidied(text, &lope_desk::Settings::default())
}

/// How many bytes to write so that tidying, which lines bars up in columns, makes about `bytes` of them.
const fn loose(bytes: usize) -> usize {
    bytes * 4 / 5
}

fn trouble(rest: &[&str]) -> Trouble {
    if rest.contains(&"one") { Trouble::One } else { Trouble::None }
}

fn number(text: &str) -> usize {
    text.parse().expect("a number")
}
