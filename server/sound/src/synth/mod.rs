//! The schedule as sound: strings that are modelled, not recorded.
//!
//! Each sound is a string of its own ([`string`]): a delay line as long as one turn of the wave, with a filter
//! in the loop that makes high partials die first (Jaffe and Smith, "Extensions of the Karplus-Strong
//! Plucked-String Algorithm", Computer Music Journal 7(2), 1983). All strings go through one body ([`body`]) and
//! a soft ceiling ([`ceiling`]). Everything is worked out from the schedule, so the same schedule gives the same
//! samples.

mod body;
mod ceiling;
mod click;
mod mix;
mod pluck;
mod string;

use crate::{Click, Schedule, Sound};
use body::Body;
use mix::Mix;
use pluck::Pluck;

/// Samples a second.
pub const RATE: u32 = 44_100;

/// What brings the loudest passages of a tune close to the ceiling and keeps them under it. Set by measuring
/// the tunes that `lope start` writes.
const GAIN: f32 = 0.50;

/// Plays `schedule` and hands what is heard to `sink`, piece by piece: samples between -1 and 1, [`RATE`] a
/// second, one channel. Strings that ring at the end ring out. Stops at the first error of `sink` and answers it.
///
/// It holds a few seconds of sound at a time, however long the schedule is.
pub fn render<E>(schedule: &Schedule, mut sink: impl FnMut(&[f32]) -> Result<(), E>) -> Result<(), E> {
    let mut stage = Stage { mix: Mix::default(), body: Body::banjo(), voice: Vec::new() };
    let mut clicks = schedule.clicks.iter().peekable();
    for (seed, sound) in (1..).zip(&schedule.sounds) {
        while let Some(click) = clicks.next_if(|click| click.onset <= sound.onset) {
            stage.click(schedule, click, &mut sink)?;
        }
        stage.sound(schedule, sound, seed, &mut sink)?;
    }
    for click in clicks {
        stage.click(schedule, click, &mut sink)?;
    }
    let end = sample(schedule.seconds(schedule.end));
    stage.hand_over(end.max(stage.mix.end()), &mut sink)
}

struct Stage {
    mix: Mix,
    body: Body,
    /// The voice at work; kept so that it need not be allocated for every note.
    voice: Vec<f32>,
}

impl Stage {
    fn sound<E>(
        &mut self,
        schedule: &Schedule,
        sound: &Sound,
        seed: u32,
        sink: &mut impl FnMut(&[f32]) -> Result<(), E>,
    ) -> Result<(), E> {
        let at = sample(schedule.seconds(sound.onset));
        self.hand_over(at, sink)?;
        string::play(&Pluck::of(schedule, sound, seed), &mut self.voice);
        self.mix.add(at, &self.voice, mix::Bus::Strings);
        Ok(())
    }

    fn click<E>(
        &mut self,
        schedule: &Schedule,
        click: &Click,
        sink: &mut impl FnMut(&[f32]) -> Result<(), E>,
    ) -> Result<(), E> {
        let at = sample(schedule.seconds(click.onset));
        self.hand_over(at, sink)?;
        click::play(click.first, &mut self.voice);
        self.mix.add(at, &self.voice, mix::Bus::Dry);
        Ok(())
    }

    /// Hands over what nothing can be added to any more: all before the sample `until`.
    fn hand_over<E>(&mut self, until: u64, sink: &mut impl FnMut(&[f32]) -> Result<(), E>) -> Result<(), E> {
        let Self { mix, body, .. } = self;
        mix.take(until, |strings, dry| {
            for (sample, dry) in strings.iter_mut().zip(dry) {
                *sample = ceiling::under(GAIN * body.sound(*sample) + *dry);
            }
            sink(strings)
        })
    }
}

/// The sample nearest to a time in seconds.
fn sample(seconds: f64) -> u64 {
    (seconds * f64::from(RATE)).round() as u64
}

#[cfg(test)]
mod tests;
