//! What each floor costs, in MB of text a second: `cargo bench -p lope-tests`.

#![allow(clippy::unwrap_used, reason = "a benchmark fails by panicking")]

use std::hint::black_box;
use std::sync::{Arc, LazyLock};

use divan::Bencher;
use divan::counter::BytesCount;
use lope_desk::{Change, Mended, Page, Settings};
use lope_rules::Music;
use lope_syntax::{parse, tunes};
use lope_tests::tunes::{Trouble, file};
use lope_tune::{Defaults, Neck, play, write};

/// A book's worth of clean tunes of 2 KB.
static CLEAN: LazyLock<String> = LazyLock::new(|| file(1, 200_000, Trouble::None));

/// The same with something to find in every fourth group.
static TROUBLED: LazyLock<String> = LazyLock::new(|| file(1, 200_000, Trouble::Often));

fn main() {
    divan::main();
}

#[divan::bench]
fn cut_into_tunes(bencher: Bencher) {
    bencher.counter(BytesCount::of_str(&*CLEAN)).bench(|| tunes(black_box(&CLEAN)));
}

#[divan::bench]
fn parse_text(bencher: Bencher) {
    each_tune(bencher, |tune| parse(tune).nodes().len());
}

#[divan::bench]
fn read_music(bencher: Bencher) {
    let read: Vec<_> = pieces().map(|text| (text, parse(text))).collect();
    bencher.counter(BytesCount::of_str(&*CLEAN)).bench(|| {
        read.iter()
            .map(|(text, tree)| lope_tune::read(text, tree, &Defaults::default()).issues.len())
            .sum::<usize>()
    });
}

#[divan::bench]
fn unfold_and_play(bencher: Bencher) {
    let read: Vec<_> =
        pieces().map(|text| lope_tune::read(text, &parse(text), &Defaults::default())).collect();
    bencher
        .counter(BytesCount::of_str(&*CLEAN))
        .bench(|| read.iter().map(|reading| play(&reading.tune).notes.len()).sum::<usize>());
}

#[divan::bench]
fn write_text(bencher: Bencher) {
    let read: Vec<_> =
        pieces().map(|text| lope_tune::read(text, &parse(text), &Defaults::default())).collect();
    bencher
        .counter(BytesCount::of_str(&*CLEAN))
        .bench(|| read.iter().map(|reading| write(&reading.tune).len()).sum::<usize>());
}

#[divan::bench]
fn find_what_hands_do(bencher: Bencher) {
    let read: Vec<_> =
        pieces().map(|text| lope_tune::read(text, &parse(text), &Defaults::default())).collect();
    bencher.counter(BytesCount::of_str(&*CLEAN)).bench(|| {
        read.iter().for_each(|reading| drop(black_box(lope_hand::read(&reading.tune))));
    });
}

#[divan::bench]
fn run_rules(bencher: Bencher) {
    let settings = Settings::default();
    let all: Vec<_> = pieces()
        .map(|text| {
            let tree = parse(text);
            let reading = lope_tune::read(text, &tree, &Defaults::default());
            let hand = lope_hand::read(&reading.tune);
            (text, tree, reading, hand)
        })
        .collect();
    bencher.counter(BytesCount::of_str(&*CLEAN)).bench(|| {
        let found = all.iter().map(|(text, tree, reading, hand)| {
            let music = Music::new(text, tree, reading, hand, Neck::default());
            lope_rules::check(&music, &settings).len()
        });
        found.sum::<usize>()
    });
}

#[divan::bench(args = ["clean", "troubled"])]
fn text_to_findings(bencher: Bencher, kind: &str) {
    let text = if kind == "clean" { &*CLEAN } else { &*TROUBLED };
    let settings = Arc::new(Settings::default());
    bencher
        .counter(BytesCount::of_str(text))
        .bench(|| Page::read(black_box(text), &settings).findings().count());
}

#[divan::bench]
fn mend_all(bencher: Bencher) {
    let settings = Arc::new(Settings::default());
    bencher
        .counter(BytesCount::of_str(&*TROUBLED))
        .bench(|| Mended::new(black_box(&TROUBLED), &settings).mends);
}

/// An edit in the middle of a file: the time of one tune, not of the file.
#[divan::bench(args = [5_000, 20_000, 200_000, 2_000_000])]
fn edit_in_the_middle(bencher: Bencher, size: usize) {
    let before = file(1, size, Trouble::None);
    let at = before.len() / 2 + before[before.len() / 2..].find("\n|").unwrap();
    let after = format!("{} ?{}", &before[..at], &before[at..]);
    let mut page = Page::read(&before, &Arc::new(Settings::default()));
    bencher.bench_local(move || {
        page.edit(after.as_str(), Change { start: at, old_end: at, new_end: at + 2 });
        page.edit(before.as_str(), Change { start: at, old_end: at + 2, new_end: at });
    });
}

fn each_tune(bencher: Bencher, work: impl Fn(&str) -> usize + Sync) {
    bencher.counter(BytesCount::of_str(&*CLEAN)).bench(|| pieces().map(&work).sum::<usize>());
}

fn pieces() -> impl Iterator<Item = &'static str> {
    tunes(&CLEAN).into_iter().map(|range| &CLEAN[range])
}
