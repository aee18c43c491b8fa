//! The way from the client: messages one after another, however slow or broken the bytes come.

use std::io::{ErrorKind, Read};

use super::frames::Frames;
use super::message::{Message, read_message};
use super::outgoing::Outgoing;

/// The messages in `input`, up to its end. What is none is told in the client's log and passed over.
pub struct Incoming<R> {
    input: R,
    out: Outgoing,
    frames: Frames,
    chunk: Vec<u8>,
}

impl<R: Read> Incoming<R> {
    /// The messages in `input`; what is none is said to `out`.
    pub fn new(input: R, out: Outgoing) -> Self {
        Self { input, out, frames: Frames::default(), chunk: vec![0; 1 << 16] }
    }

    /// Waits for more bytes; false at the end.
    fn read(&mut self) -> bool {
        loop {
            match self.input.read(&mut self.chunk) {
                Ok(0) => return false,
                Ok(length) => {
                    self.frames.feed(&self.chunk[..length]);
                    return true;
                }
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) => {
                    self.out.warn(&format!("standard input cannot be read on: {error}"));
                    return false;
                }
            }
        }
    }
}

impl<R: Read> Iterator for Incoming<R> {
    type Item = Message;

    fn next(&mut self) -> Option<Message> {
        loop {
            match self.frames.next(read_message) {
                Some(Ok(message)) => return Some(message),
                Some(Err(problem)) => self.out.warn(&format!("passed over what is no message: {problem}")),
                None if self.read() => {}
                None => return None,
            }
        }
    }
}
