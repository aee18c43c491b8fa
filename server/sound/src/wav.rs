//! The schedule as a WAV file.

use std::io::{self, Seek, Write};

use hound::{SampleFormat, WavSpec, WavWriter};

use crate::{RATE, Schedule, Unwritable, render};

/// The longest a file may get, in hours: at 13 and a half its size no longer fits into the 32 bits that the form
/// has for it.
const LONGEST: u32 = 13;

/// Plays `schedule` and writes what is heard to `out`, as 16-bit samples at 44.1 kHz in one channel. `out` is
/// written in small pieces, so a file is best buffered.
///
/// # Errors
///
/// [`Unwritable::TooLong`], or whatever `out` answers.
pub fn wav(schedule: &Schedule, out: &mut (impl Write + Seek)) -> Result<(), Unwritable> {
    if schedule.seconds(schedule.end) > f64::from(LONGEST) * 3600.0 {
        return Err(Unwritable::TooLong { hours: LONGEST });
    }
    let spec =
        WavSpec { channels: 1, sample_rate: RATE, bits_per_sample: 16, sample_format: SampleFormat::Int };
    let mut file = WavWriter::new(out, spec).map_err(told)?;
    render(schedule, |samples| {
        let mut piece = file.get_i16_writer(samples.len() as u32);
        samples.iter().for_each(|sample| piece.write_sample((sample * f32::from(i16::MAX)).round() as i16));
        piece.flush()
    })
    .map_err(told)?;
    Ok(file.finalize().map_err(told)?)
}

/// The trouble that `out` had; the form itself has none, since the samples fit it.
fn told(error: hound::Error) -> io::Error {
    match error {
        hound::Error::IoError(error) => error,
        other => io::Error::other(other),
    }
}
