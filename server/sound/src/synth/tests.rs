use lope_syntax::parse;
use lope_tune::{Defaults, play, read};

use super::*;
use crate::{Performance, schedule};

fn played(text: &str, performance: &Performance) -> Vec<f32> {
    let tune = read(text, &parse(text), &Defaults::default()).tune;
    let mut samples = Vec::new();
    render(&schedule(&tune, &play(&tune), performance), |piece| {
        samples.extend_from_slice(piece);
        Ok::<_, ()>(())
    })
    .unwrap();
    samples
}

/// The level of `samples` around the second `at`, over 50 ms.
fn level(samples: &[f32], at: f64) -> f32 {
    let from = (at * f64::from(RATE)) as usize;
    let piece = &samples[from..from + 2205];
    (piece.iter().map(|sample| sample * sample).sum::<f32>() / piece.len() as f32).sqrt()
}

/// Everything at once, as loud as it gets.
const LOUD: &str = "tune: T\nmeter: 6/8\ntempo: 140\npart A x4\n\
    | [4:0! 3:0! 2:0! 1:0! t] [4:2! 3:2! 2:1! 1:2! t] [4:0! 3:0! 2:0! 1:0! t]  \
    [4:5! 3:4! 2:3! 1:5! t] [4:0! 3:0! 2:0! 1:0! t] [4:0! 3:0! 2:0! 1:0! t] |\n";

#[test]
fn nothing_clips_and_nothing_clicks() {
    let samples = played(LOUD, &Performance { click: true, ..Performance::default() });
    assert!(samples.iter().all(|sample| sample.abs() < 1.0));
    assert_eq!(samples[0], 0.0);
    assert!(samples[samples.len() - 8..].iter().all(|sample| sample.abs() < 1e-3));
    // A string stopped in the middle of its wave leads to rest. What is left above 8 kHz would be a click.
    let stopped =
        played("tune: T\nmeter: 4/4\ntempo: 60\npart A\n| 4:0- _- - _--- |", &Performance::default());
    let stop = RATE as usize;
    let jerk = |range: std::ops::Range<usize>| {
        stopped[range].windows(3).map(|wave| (wave[0] - 2.0 * wave[1] + wave[2]).abs()).fold(0.0, f32::max)
    };
    assert!(jerk(stop - 400..stop + 1200) <= 1.1 * jerk(stop - 2000..stop - 400));
    assert!(level(&stopped, 1.1) < 0.01 * level(&stopped, 0.9));
}

#[test]
fn the_same_schedule_is_the_same_sound() {
    let bits = |samples: Vec<f32>| samples.into_iter().map(f32::to_bits).collect::<Vec<_>>();
    let once = bits(played(LOUD, &Performance::default()));
    assert!(once == bits(played(LOUD, &Performance::default())));
}

#[test]
fn it_lasts_as_long_as_the_schedule_and_rings_out() {
    // Four quarters at 120: two seconds, of which the last is struck in the last half.
    let samples = played("tune: T\nmeter: 4/4\ntempo: 120\npart A\n| _----- 3:0- |", &Performance::default());
    let seconds = samples.len() as f64 / f64::from(RATE);
    assert!(seconds > 2.5, "{seconds}");
    assert!(level(&samples, 2.1) > 0.1 * level(&samples, 1.6));
    let silent = played("tune: T\nmeter: 4/4\ntempo: 120\npart A\n| 3:0- _----- |", &Performance::default());
    assert_eq!(silent.len(), 2 * RATE as usize);
}

#[test]
fn louder_notes_are_louder() {
    let of = |note: &str| {
        let text = format!("tune: T\nmeter: 4/4\ntempo: 60\npart A\n| _- {note}- ---- |");
        level(&played(&text, &Performance::default()), 1.02)
    };
    let (accent, strike, thumb) = (of("3:0!"), of("3:0"), of("t3:0"));
    assert!(accent > 1.2 * strike && strike > 1.1 * thumb, "{accent} {strike} {thumb}");
}

#[test]
fn a_long_silence_takes_no_memory() {
    // One note in a bar of 99 whole notes, twice, at the slowest there is: ten minutes.
    let text = "tune: T\nmeter: 99/1\ntempo: 20\npart A x2\n| 3:0 _ |";
    let tune = read(text, &parse(text), &Defaults::default()).tune;
    let schedule = schedule(&tune, &play(&tune), &Performance::default());
    let (mut samples, mut widest) = (0, 0);
    render(&schedule, |piece| {
        (samples, widest) = (samples + piece.len(), widest.max(piece.len()));
        Ok::<_, ()>(())
    })
    .unwrap();
    assert_eq!(samples, 3 * 99 * 2 * RATE as usize);
    assert!(widest <= 4096);
}
