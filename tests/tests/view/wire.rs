//! The wire: requests as they are written, answers as they come.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::time::Duration;

/// An answer.
#[derive(Debug)]
pub struct Answer {
    /// The status line's number.
    pub status: u16,
    /// The header lines, in small letters.
    pub headers: String,
    /// What follows.
    pub body: Vec<u8>,
}

impl Answer {
    /// The body, which must be text.
    pub fn text(&self) -> &str {
        std::str::from_utf8(&self.body).unwrap()
    }

    /// The body, which must be JSON.
    pub fn json(&self) -> serde_json::Value {
        assert_eq!(self.status, 200, "{}", self.text());
        serde_json::from_slice(&self.body).unwrap()
    }
}

/// Asks the program at `port` with `lines`, the first being the method and the path, and reads all it answers.
pub fn ask(port: u16, lines: &[&str], body: &str) -> Answer {
    let mut stream = connect(port);
    send(&mut stream, lines, body);
    let mut all = Vec::new();
    stream.read_to_end(&mut all).unwrap();
    let end = all.windows(4).position(|four| four == b"\r\n\r\n").unwrap();
    let headers = String::from_utf8(all[..end].to_vec()).unwrap().to_lowercase();
    let status = headers.split(' ').nth(1).unwrap().parse().unwrap();
    Answer { status, headers, body: all.split_off(end + 4) }
}

/// Asks for something that goes on, and gives what comes line by line, without the header.
pub fn listen(port: u16, path: &str) -> impl Iterator<Item = String> + use<> {
    let mut stream = connect(port);
    send(&mut stream, &[&format!("GET {path}"), &format!("host: 127.0.0.1:{port}")], "");
    let mut lines = BufReader::new(stream).lines().map(Result::unwrap);
    assert!(lines.next().unwrap().ends_with("200 OK"));
    lines.by_ref().find(String::is_empty);
    lines
}

fn connect(port: u16) -> TcpStream {
    let stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
    stream
}

fn send(stream: &mut TcpStream, lines: &[&str], body: &str) {
    let (first, headers) = lines.split_first().unwrap();
    let headers: String = headers.iter().map(|line| format!("{line}\r\n")).collect();
    let length = body.len();
    write!(
        stream,
        "{first} HTTP/1.1\r\n{headers}connection: close\r\ncontent-length: {length}\r\n\r\n{body}"
    )
    .unwrap();
}
