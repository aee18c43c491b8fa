//! What is heard, beside real time and beside a copy of its bytes: `cargo bench -p lope-tests --bench sound`.
//!
//! `schedule_to_wav` counts the samples that are played, so 44.1 Kitem/s is real time and 4.41 Mitem/s a hundred times that.

#![allow(clippy::unwrap_used, reason = "a benchmark fails by panicking")]

use std::hint::black_box;
use std::io::Cursor;

use divan::Bencher;
use divan::counter::{BytesCount, ItemsCount};
use lope_sound::{Performance, RATE, Schedule, midi, schedule, wav};
use lope_tests::tunes::{Trouble, tune};
use lope_tune::{Defaults, Played, Tune, play, read};

fn main() {
    divan::main();
}

/// A tune of two kilobytes: a few minutes of music.
fn music() -> (Tune, Played) {
    let text = tune(1, 2000, Trouble::None);
    let tune = read(&text, &lope_syntax::parse(&text), &Defaults::default()).tune;
    let played = play(&tune);
    (tune, played)
}

fn whole(tune: &Tune, played: &Played) -> Schedule {
    schedule(tune, played, &Performance::default())
}

#[divan::bench]
fn played_to_schedule(bencher: Bencher) {
    let (tune, played) = music();
    bencher
        .counter(ItemsCount::new(played.notes.len()))
        .bench(|| whole(black_box(&tune), &played).sounds.len());
}

#[divan::bench]
fn schedule_to_midi(bencher: Bencher) {
    let (tune, played) = music();
    let schedule = whole(&tune, &played);
    let size = midi(&tune, &schedule).unwrap().len();
    bencher.counter(BytesCount::new(size)).bench(|| midi(&tune, black_box(&schedule)).unwrap());
}

/// What the memory does with as many bytes.
#[divan::bench]
fn copy_of_the_midi_file(bencher: Bencher) {
    let (tune, played) = music();
    let bytes = midi(&tune, &whole(&tune, &played)).unwrap();
    bencher.counter(BytesCount::new(bytes.len())).bench(|| black_box(&bytes).clone());
}

#[divan::bench(sample_count = 10)]
fn schedule_to_wav(bencher: Bencher) {
    let (tune, played) = music();
    let schedule = whole(&tune, &played);
    let samples = schedule.seconds(schedule.end) * f64::from(RATE);
    bencher.counter(ItemsCount::new(samples as u64)).bench(|| {
        let mut file = Cursor::new(Vec::with_capacity(2 * samples as usize));
        wav(black_box(&schedule), &mut file).unwrap();
        file.into_inner().len()
    });
}
