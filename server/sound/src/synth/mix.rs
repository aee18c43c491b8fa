//! Voices added up where they overlap.

/// Which way a voice takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bus {
    /// Through the body.
    Strings,
    /// Past it.
    Dry,
}

/// The stretch of time in which voices still sound or can begin.
#[derive(Debug, Default)]
pub struct Mix {
    /// The sample at which the stretch begins.
    start: u64,
    strings: Vec<f32>,
    dry: Vec<f32>,
}

impl Mix {
    /// Adds `voice` from the sample `at` on, which is not before what was taken.
    pub fn add(&mut self, at: u64, voice: &[f32], bus: Bus) {
        let from = at.saturating_sub(self.start) as usize;
        self.lengthen(self.start + (from + voice.len()) as u64);
        let bus = match bus {
            Bus::Strings => &mut self.strings,
            Bus::Dry => &mut self.dry,
        };
        bus[from..].iter_mut().zip(voice).for_each(|(sum, sample)| *sum += sample);
    }

    /// The sample at which the last voice has ended.
    pub fn end(&self) -> u64 {
        self.start + self.strings.len() as u64
    }

    /// Takes all before the sample `until` out and gives it to `work`, which may change it, in pieces. Where no
    /// voice sounds it is silence, however long that lasts.
    pub fn take<E>(
        &mut self,
        until: u64,
        mut work: impl FnMut(&mut [f32], &[f32]) -> Result<(), E>,
    ) -> Result<(), E> {
        let count = until.min(self.end()).saturating_sub(self.start) as usize;
        for (strings, dry) in self.strings[..count].chunks_mut(PIECE).zip(self.dry[..count].chunks(PIECE)) {
            work(strings, dry)?;
        }
        self.strings.drain(..count);
        self.dry.drain(..count);
        self.start += count as u64;
        while self.start < until {
            let silence = (until - self.start).min(PIECE as u64) as usize;
            work(&mut [0.0; PIECE][..silence], &[0.0; PIECE][..silence])?;
            self.start += silence as u64;
        }
        Ok(())
    }

    fn lengthen(&mut self, until: u64) {
        let length = until.saturating_sub(self.start) as usize;
        if length > self.strings.len() {
            self.strings.resize(length, 0.0);
            self.dry.resize(length, 0.0);
        }
    }
}

/// How many samples are handed over at once.
const PIECE: usize = 4096;
