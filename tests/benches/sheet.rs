//! Layout and its writers: `cargo bench -p lope-tests --bench sheet`.

use std::hint::black_box;

use divan::Bencher;
use lope_hand::Hand;
use lope_sheet::{Paper, Plain, Wishes, lay, svg, text};
use lope_tests::tunes::{Trouble, tune};
use lope_tune::{Defaults, Tune, read};

fn main() {
    divan::main();
}

/// A jig of two parts, as they fill a page.
const JIG: &str = include_str!("../../server/src/cli/start/book/the-heron-at-low-water.lope");

fn music(text: &str) -> (Tune, Hand) {
    let tune = read(text, &lope_syntax::parse(text), &Defaults::default()).tune;
    let hand = lope_hand::read(&tune);
    (tune, hand)
}

fn drawn((tune, hand): &(Tune, Hand), wishes: &Wishes) -> usize {
    let sheet = lay(tune, hand, wishes);
    sheet.pages.iter().map(|page| svg(&sheet, page).len()).sum()
}

#[divan::bench]
fn a_tune_of_a_page_to_svg(bencher: Bencher) {
    let music = music(JIG);
    bencher.bench(|| drawn(black_box(&music), &Wishes::default()));
}

#[divan::bench]
fn the_same_for_a_screen(bencher: Bencher) {
    let (music, wishes) = (music(JIG), Wishes { paper: Paper::Endless(600.0), ..Wishes::default() });
    bencher.bench(|| drawn(black_box(&music), &wishes));
}

#[divan::bench]
fn two_kilobytes_of_text_to_svg(bencher: Bencher) {
    let music = music(&tune(1, 2000, Trouble::None));
    bencher.bench(|| drawn(black_box(&music), &Wishes::default()));
}

#[divan::bench]
fn a_tune_of_a_page_to_plain_text(bencher: Bencher) {
    let (tune, hand) = music(JIG);
    bencher.bench(|| text(black_box(&tune), &hand, &Plain::default()).len());
}

#[divan::bench(sample_count = 10)]
fn ten_thousand_bars_to_svg(bencher: Bencher) {
    let bars = "3:0 t 3:0 1:0- 2:0 | ".repeat(10_000);
    let music = music(&format!("tune: Long\nmeter: 6/8\npart A\n| {bars}\n"));
    bencher.bench(|| drawn(black_box(&music), &Wishes::default()));
}
