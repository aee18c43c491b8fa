//! A string: a wave that goes round and round, and loses a little each time.

use std::f64::consts::{PI, TAU};

use super::RATE;
use super::pluck::{Bend, Pluck};

/// How long a string open at D3 rings, in seconds to a thousandth of its level (-60 dB), how that falls with its
/// pitch, and how much shorter a fingertip makes it. Set by looking at spectrograms.
const RINGS: f64 = 3.0;
const FALLS: f64 = 0.45;
const FINGERED: f64 = 0.75;

/// The same for partials at this many Hz: what is high dies first.
const BRIGHT_HZ: f64 = 4500.0;
const BRIGHT_RINGS: f64 = 0.42;

/// A struck head takes the first of the sound away faster than the rest: how much of it, and in how many
/// seconds that falls to a third.
const BLOOM: f32 = 0.42;
const BLOOM_SECONDS: f32 = 0.1;

/// How long a finger takes to stop a string, in samples: 12 ms.
const STOP: usize = 12 * RATE as usize / 1000;

/// The samples that share their coefficients while a pitch bends.
const BLOCK: usize = 32;

/// Puts the sound of a plucked string into `voice`. It starts and ends at rest.
pub fn play(pluck: &Pluck, voice: &mut Vec<f32>) {
    let string = Loop::new(pluck);
    let rings = (1.4 * string.rings * f64::from(RATE)) as usize;
    let length = pluck.stopped_after.map_or(rings, |stop| rings.min(stop + STOP));
    let turn = f64::from(RATE) / lowest(pluck);
    // The wave before the note: a string at rest.
    let rest = turn.ceil() as usize + 8;
    voice.clear();
    voice.resize(rest + length, 0.0);
    touch(pluck, turn, &mut voice[rest..]);
    let mut at = 0;
    while at < length {
        let taps = string.taps(pluck.hz * pluck.bent(at));
        let block = match pluck.bend {
            Bend::None => taps.delay.max(1),
            _ => taps.delay.clamp(1, BLOCK),
        };
        let block = block.min(length - at);
        go_round(voice, rest + at, block, &taps);
        at += block;
    }
    voice.drain(..rest);
    shape(voice, pluck.stopped_after);
}

/// The lowest pitch on the way, in Hz.
fn lowest(pluck: &Pluck) -> f64 {
    match pluck.bend {
        Bend::From(hz) => hz.min(pluck.hz),
        Bend::Shaken => 0.99 * pluck.hz,
        Bend::None | Bend::Up(_) => pluck.hz,
    }
}

/// Sets the string going: a push that runs both ways from where it is touched, so that it comes back upside
/// down from the near end. Its area goes with the length of the string, so that all pitches are as loud.
fn touch(pluck: &Pluck, turn: f64, voice: &mut [f32]) {
    let width = pluck.touch.width_ms / 1000.0 * f64::from(RATE) * (1.35 - 0.5 * f64::from(pluck.level));
    let width = width.min(turn / 2.0).max(3.0);
    let height = pluck.level * (turn / width) as f32 / 4.0;
    let back = pluck.touch.place * turn;
    let mut noise = Noise(pluck.seed.wrapping_mul(0x9E37_79B9) | 1);
    for (at, sample) in voice.iter_mut().enumerate().take((back + width).ceil() as usize + 1) {
        let at = at as f64;
        let push = bump(at / width) - bump((at - back) / width);
        let hiss = pluck.touch.noise * noise.next() * (bump(at / (2.0 * width)) as f32);
        *sample += height * (push as f32 + hiss);
    }
}

/// A smooth bump between 0 and 1.
fn bump(part: f64) -> f64 {
    if (0.0..=1.0).contains(&part) { 0.5 - 0.5 * (TAU * part).cos() } else { 0.0 }
}

/// What a turn round the loop takes away.
struct Loop {
    /// How long it rings, in seconds.
    rings: f64,
    /// What the filter lets by of the next sample: 0 lets all partials by alike, 1/2 the fewest.
    soft: f64,
    /// What is left of the fundamental after one turn, over what the filter leaves of it.
    kept: f64,
}

impl Loop {
    fn new(pluck: &Pluck) -> Self {
        let hz = pluck.hz;
        let finger = if pluck.fretted { FINGERED } else { 1.0 };
        let rings = RINGS * finger * (146.83 / hz).powf(FALLS);
        let left = |seconds: f64| 10_f64.powf(-3.0 / (hz * seconds));
        let ratio = (left(BRIGHT_RINGS * finger) / left(rings)).min(1.0).powi(2);
        // |1 - s + s/z|^2 is 1 - q (1 - cos w) with q = 2 s (1 - s): solved for the ratio of the two partials.
        let fall = |hz: f64| 1.0 - (TAU * hz / f64::from(RATE)).cos();
        let q = ((1.0 - ratio) / (fall(BRIGHT_HZ) - ratio * fall(hz)).max(1e-9)).clamp(0.0, 0.5);
        let kept = (left(rings) / (1.0 - q * fall(hz)).max(1e-9).sqrt()).min(0.9999);
        Self { rings, soft: (1.0 - (1.0 - 2.0 * q).sqrt()) / 2.0, kept }
    }

    /// The taps that make the loop sound `hz`: the delay is what is left of a turn after the filter's own, and
    /// its fraction is taken between samples by Lagrange's polynomial of the third order.
    fn taps(&self, hz: f64) -> Taps {
        let w = TAU * hz / f64::from(RATE);
        let filter = (self.soft * w.sin()).atan2(1.0 - self.soft + self.soft * w.cos()) / w;
        let delay = (f64::from(RATE) / hz - filter).max(2.0);
        let whole = delay.floor() - 1.0;
        let d = delay - whole;
        let lagrange = [
            -(d - 1.0) * (d - 2.0) * (d - 3.0) / 6.0,
            d * (d - 2.0) * (d - 3.0) / 2.0,
            -d * (d - 1.0) * (d - 3.0) / 2.0,
            d * (d - 1.0) * (d - 2.0) / 6.0,
        ];
        let mut weights = [0.0; 5];
        for (at, weight) in lagrange.into_iter().enumerate() {
            weights[at] += self.kept * (1.0 - self.soft) * weight;
            weights[at + 1] += self.kept * self.soft * weight;
        }
        Taps { delay: whole as usize, weights: weights.map(|weight| weight as f32) }
    }
}

/// Which earlier samples come back, and how much of each.
struct Taps {
    /// How far back the nearest is; at least 1.
    delay: usize,
    weights: [f32; 5],
}

/// Lets `count` samples from `at` on come round: no more than the delay, so that none waits for another.
fn go_round(voice: &mut [f32], at: usize, count: usize, taps: &Taps) {
    let (before, now) = voice.split_at_mut(at);
    let [a, b, c, d, e] = taps.weights;
    let from = at - taps.delay - 4;
    let before = &before[from..at - taps.delay + count];
    for (sample, wave) in now[..count].iter_mut().zip(before.windows(5)) {
        *sample += e * wave[0] + d * wave[1] + c * wave[2] + b * wave[3] + a * wave[4];
    }
}

/// The bloom, and the finger that stops the string.
fn shape(voice: &mut [f32], stopped_after: Option<usize>) {
    let fall = (-1.0 / (BLOOM_SECONDS * RATE as f32)).exp();
    let mut bloom = BLOOM;
    for sample in voice.iter_mut() {
        *sample *= 1.0 - BLOOM + bloom;
        bloom *= fall;
    }
    // A string that rings out is too soft to hear at its end, and is led to rest all the same.
    let stop = stopped_after.unwrap_or(usize::MAX).min(voice.len().saturating_sub(STOP));
    let rest = voice.len() - stop;
    for (at, sample) in voice[stop..].iter_mut().enumerate() {
        *sample *= (0.5 + 0.5 * (PI * (at + 1) as f64 / rest as f64).cos()) as f32;
    }
}

/// White noise: Marsaglia's xorshift ("Xorshift RNGs", Journal of Statistical Software 8(14), 2003).
struct Noise(u32);

impl Noise {
    /// The next sample, between -1 and 1.
    fn next(&mut self) -> f32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        (self.0 as f32 / u32::MAX as f32).mul_add(2.0, -1.0)
    }
}
