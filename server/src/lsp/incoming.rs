//! The way from the client: one thread reads standard input, however slow or broken it comes.

use std::io::{self, Read};
use std::thread;

use tokio::sync::mpsc::UnboundedSender;

use super::frames::Frames;
use super::message::{Message, read_message};

/// What can happen to the server.
#[derive(Debug)]
pub enum Event {
    /// The client says something.
    Message(Message),
    /// The client has closed its end.
    EndOfInput,
    /// The process that the client named as its own is gone.
    ClientGone,
}

/// Starts the thread that reads messages from `input` and sends them on in their order.
pub fn read_from(input: impl Read + Send + 'static, events: UnboundedSender<Event>) -> io::Result<()> {
    thread::Builder::new().name("from client".to_owned()).spawn(move || {
        read(input, &events);
        // Without a receiver the server has left already.
        let _ = events.send(Event::EndOfInput);
    })?;
    Ok(())
}

fn read(mut input: impl Read, events: &UnboundedSender<Event>) {
    let mut frames = Frames::default();
    let mut chunk = vec![0; 1 << 16];
    loop {
        match input.read(&mut chunk) {
            Ok(0) => return,
            Ok(length) => frames.feed(&chunk[..length]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return eprintln!("lope lsp: standard input: {error}"),
        }
        while let Some(message) = frames.next(read_message) {
            // An error in sending says that the server has left already.
            match message.map(|message| events.send(Event::Message(message))) {
                Ok(Ok(())) => {}
                Ok(Err(_)) => return,
                Err(problem) => eprintln!("lope lsp: passed over what is no message: {problem}"),
            }
        }
    }
}
