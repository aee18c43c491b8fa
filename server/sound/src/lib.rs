//! Music to sound.
//!
//! [`schedule`] unfolds a tune into a [`Schedule`]: what sounds when, on which string, how loud and until
//! when, in exact time, with a [`Clock`](Schedule::seconds) that turns moments into seconds. A player on a
//! page, a file and a practice tool all play from it, so that they cannot disagree. [`midi`] writes it as
//! a standard MIDI file, [`wav`] plays it on strings of its own and writes what is heard.
//!
//! ```
//! use lope_sound::{Performance, midi, schedule, wav};
//! use lope_tune::{Defaults, play, read};
//!
//! let text = "tune: Two Bars of Rain\nmeter: 6/8\ntempo: 100\n\npart A\n| 3:0 t 2:0  1:0 t 2:0 |\n";
//! let tune = read(text, &lope_syntax::parse(text), &Defaults::default()).tune;
//! let slow = Performance { speed: 50, count_in: true, ..Performance::default() };
//! let schedule = schedule(&tune, &play(&tune), &slow);
//! // One bar of counting at half of 100 beats a minute: two beats.
//! assert_eq!(schedule.seconds(schedule.sounds[0].onset), 2.4);
//! assert!(midi(&tune, &schedule).is_ok());
//! assert!(wav(&schedule, &mut std::io::Cursor::new(Vec::new())).is_ok());
//! ```
//!
//! It stands on `tune` alone. Which hand sounds a note is said by what makes it sound ([`Hand::of`]); how the
//! right hand travels on the way there is not heard.
//!
//! Absent here: disks, devices and clocks. A schedule says when a note is due, not what time it is.

mod clicks;
mod clock;
mod key;
mod level;
mod midi;
mod passage;
mod performance;
mod schedule;
mod strings;
mod swing;
mod synth;
mod time_line;
mod unwritable;
mod wav;

pub use clock::Tempo;
pub use midi::{QUARTER, midi};
pub use passage::passage;
pub use performance::{Hand, Hands, MOST_TIMES, Performance, SPEEDS};
pub use schedule::{Click, Schedule, ScheduledBar, Sound, schedule};
pub use synth::{RATE, render};
pub use unwritable::Unwritable;
pub use wav::wav;

/// How long a slide takes to its fret, in seconds. From memory.
const SLIDE: f64 = 0.045;
