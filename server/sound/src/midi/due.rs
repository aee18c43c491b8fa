//! Messages that wait for their turn: few at any time, since a string has one sound.

use super::track::{Message, Track};

/// What comes first of what happens at the same tick: a note ends before the next on its channel is bent and begins.
#[derive(Clone, Copy)]
pub enum Rank {
    End,
    Bend,
    Begin,
}

/// What is not yet written, from the last to the first.
#[derive(Default)]
pub struct Due(Vec<(u64, Message)>);

impl Due {
    /// Puts `message` in its place, behind what comes at the same tick with the same rank.
    #[inline]
    pub fn add(&mut self, at: u64, rank: Rank, message: Message) {
        let key = 4 * at + rank as u64;
        let mut place = self.0.len();
        self.0.push((key, message));
        while place > 0 && self.0[place - 1].0 <= key {
            self.0[place] = self.0[place - 1];
            place -= 1;
        }
        self.0[place] = (key, message);
    }

    /// Writes what comes before a tick.
    #[inline]
    pub fn write_until(&mut self, at: u64, track: &mut Track<'_>) {
        while let Some((key, message)) = self.0.pop_if(|(key, _)| *key / 4 < at) {
            track.message(key / 4, message);
        }
    }

    /// Writes all of it.
    pub fn write(mut self, track: &mut Track<'_>) {
        self.write_until(u64::MAX, track);
    }
}
