//! The arranger: `cargo bench -p lope-tests --bench arrange`.

use std::hint::black_box;

use divan::Bencher;
use lope_arrange::{Wishes, arrange};
use lope_tune::{Defaults, Melody, Tuning, read};

fn main() {
    divan::main();
}

/// Eight bars of an invented jig: steps, thirds and a leap, two notes that last.
const STRAIN: &str = "g4 a4 b4 d5- b4 | c5 b4 a4 g4 f#4 g4 | e4 g4 b4 a4- g4 | f#4 a4 c5 b4 g4 e4 | \
                      g4 a4 b4 d5- e5 | d5 b4 g4 c5 a4 f#4 | g4 b4 d5 a4 c5 e5 | d5 b4 a4 g4- - |";

/// The strain over and over, `bars` long in all.
fn jig(bars: usize) -> Melody {
    let text = format!("tune: Jig\nmeter: 6/8\nmelody A\n| {}\n", format!("{STRAIN} ").repeat(bars / 8));
    let read = read(&text, &lope_syntax::parse(&text), &Defaults::default());
    let melody = read.melodies[0].melody();
    assert_eq!(melody.tune.bars.len(), bars);
    melody
}

#[divan::bench(args = [32, 100, 320, 1_000, 3_200, 10_000], sample_count = 20)]
fn bars_in_one_tuning(bencher: Bencher, bars: usize) {
    let wishes = Wishes { tuning: Some(Tuning::default()), capo: Some(0), ..Wishes::default() };
    let melody = jig(bars / 8 * 8);
    bencher.bench(|| arrange(black_box(&melody), &wishes).map_or(0, |found| found.len()));
}

#[divan::bench(sample_count = 20)]
fn a_jig_of_32_bars_in_every_tuning_with_every_capo(bencher: Bencher) {
    let melody = jig(32);
    bencher.bench(|| arrange(black_box(&melody), &Wishes::default()).map_or(0, |found| found.len()));
}
