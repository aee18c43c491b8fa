//! A wood block for the count.

use super::RATE;

/// The pitch of count 1 and of the others, in Hz, and how long one takes to fall to a third, in seconds.
const HIGH: f32 = 1760.0;
const LOW: f32 = 1175.0;
const FALL: f32 = 0.012;
const LOUD: f32 = 0.28;

/// Puts a click into `voice`.
pub fn play(first: bool, voice: &mut Vec<f32>) {
    let (hz, loud) = if first { (HIGH, LOUD) } else { (LOW, 0.7 * LOUD) };
    let rate = RATE as f32;
    let rise = 0.0005 * rate;
    voice.clear();
    voice.extend((0..(0.12 * rate) as u32).map(|at| {
        let at = at as f32;
        let turn = std::f32::consts::TAU * hz * at / rate;
        loud * (at / rise).min(1.0) * (-at / (FALL * rate)).exp() * (turn.sin() + 0.3 * (2.76 * turn).sin())
    }));
}
