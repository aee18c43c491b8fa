//! The way from the client: messages one after another, however slow or broken the bytes come.

use std::io::{ErrorKind, Read};

use super::frames::Frames;
use super::message::{Message, read_message};

/// The messages in `input`, up to its end. What is none is written to the log and passed over.
pub struct Incoming<R> {
    input: R,
    frames: Frames,
    chunk: Vec<u8>,
}

impl<R: Read> Incoming<R> {
    /// The messages in `input`.
    pub fn new(input: R) -> Self {
        Self { input, frames: Frames::default(), chunk: vec![0; 1 << 16] }
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
                    eprintln!("lope lsp: standard input: {error}");
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
                Some(Err(problem)) => eprintln!("lope lsp: passed over what is no message: {problem}"),
                None if self.read() => {}
                None => return None,
            }
        }
    }
}
