//! The body: a skin over a ring, which answers some pitches more than others.

use std::f64::consts::TAU;

use super::RATE;

/// How the head answers: in Hz, how narrow, and how much. A banjo head's lowest modes lie between 200 and
/// 1000 Hz, and it radiates best from there to about 3 kHz (from memory); the numbers were set by looking at
/// spectra.
const HEAD: [(f64, f64, f64); 5] =
    [(235.0, 2.5, 0.70), (520.0, 5.0, 0.7), (830.0, 5.0, 0.8), (1450.0, 3.0, 0.7), (2700.0, 2.0, 0.45)];

/// What comes straight from the strings, and from where on the skin is too heavy for it, in Hz.
const STRAIGHT: f64 = 0.5;
const HEAVY: f64 = 2200.0;

/// Below this nothing is radiated, in Hz.
const LOW: f64 = 90.0;

/// The body and what is ringing in it.
pub struct Body {
    head: [Resonance; HEAD.len()],
    straight: OnePole,
    low: OnePole,
}

impl Body {
    /// A banjo's.
    pub fn banjo() -> Self {
        Self {
            head: HEAD.map(|(hz, narrow, gain)| Resonance::new(hz, narrow, gain)),
            straight: OnePole::new(HEAVY),
            low: OnePole::new(LOW),
        }
    }

    /// What is heard when the strings push by `sample`.
    pub fn sound(&mut self, sample: f32) -> f32 {
        let rings: f32 = self.head.iter_mut().map(|resonance| resonance.ring(sample)).sum();
        let sum = rings + STRAIGHT as f32 * self.straight.follow(sample);
        sum - self.low.follow(sum)
    }
}

/// A band-pass filter of the second order (bilinear transform).
struct Resonance {
    push: f32,
    back: [f32; 2],
    input: [f32; 2],
    output: [f32; 2],
}

impl Resonance {
    fn new(hz: f64, narrow: f64, gain: f64) -> Self {
        let w = TAU * hz / f64::from(RATE);
        let alpha = w.sin() / (2.0 * narrow);
        let whole = 1.0 + alpha;
        Self {
            push: (gain * alpha / whole) as f32,
            back: [(-2.0 * w.cos() / whole) as f32, ((1.0 - alpha) / whole) as f32],
            input: [0.0; 2],
            output: [0.0; 2],
        }
    }

    fn ring(&mut self, sample: f32) -> f32 {
        let [back, further] = self.back;
        let sum = self.push * (sample - self.input[1]) - back * self.output[0] - further * self.output[1];
        self.input = [sample, self.input[0]];
        self.output = [sum, self.output[0]];
        sum
    }
}

/// A low-pass filter of the first order.
struct OnePole {
    push: f32,
    value: f32,
}

impl OnePole {
    fn new(hz: f64) -> Self {
        Self { push: (1.0 - (-TAU * hz / f64::from(RATE)).exp()) as f32, value: 0.0 }
    }

    fn follow(&mut self, sample: f32) -> f32 {
        self.value += self.push * (sample - self.value);
        self.value
    }
}
