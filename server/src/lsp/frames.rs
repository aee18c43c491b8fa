//! Bytes to the bodies of messages, and back.
//!
//! A frame is header lines, an empty line, and as many bytes as `Content-Length` says (Language Server
//! Protocol 3.17, "Base Protocol"). Whatever a client sends, reading goes on: a header may be written in
//! any case and have others beside it, and after bytes that are no message the next header is looked for.

use std::io::{self, Write};

use memchr::{memchr, memchr_iter};

/// Longer bodies are taken for a mistake in the header, in bytes.
const LARGEST_BODY: usize = 1 << 28;

/// Longer lines are no header, in bytes.
const LONGEST_HEADER: usize = 1 << 12;

/// What is kept of the room a large message needed, in bytes.
const KEPT_ROOM: usize = 1 << 17;

/// The bytes that have come and are not yet read as messages.
#[derive(Default)]
pub struct Frames {
    bytes: Vec<u8>,
    /// The first byte that is not read.
    at: usize,
    /// The length the header being read has given.
    announced: Option<usize>,
    /// The length of the body that comes next, once its header is complete.
    body: Option<usize>,
}

impl Frames {
    /// Adds bytes as they come, cut anywhere.
    pub fn feed(&mut self, bytes: &[u8]) {
        self.bytes.drain(..self.at);
        self.at = 0;
        if self.bytes.is_empty() {
            self.bytes.shrink_to(KEPT_ROOM);
        }
        self.bytes.extend_from_slice(bytes);
    }

    /// The next message as `read` makes it from its body, or what is wrong with the bytes that stand in
    /// its place; nothing when more bytes must come first.
    pub fn next<T>(&mut self, read: impl Fn(&[u8]) -> Result<T, String>) -> Option<Result<T, String>> {
        loop {
            if let Some(length) = self.body {
                let body = self.bytes.get(self.at..self.at + length)?;
                let (message, used) = read_body(body, read);
                self.at += used;
                self.body = None;
                return Some(message);
            }
            let Some(line) = self.line() else { return self.too_long() };
            if line.is_empty() {
                self.body = self.announced.take();
            } else if let Some(value) = content_length(line) {
                match value {
                    Ok(length) => self.announced = Some(length),
                    Err(problem) => return Some(Err(problem)),
                }
            }
        }
    }

    /// The next whole line without its end.
    fn line(&mut self) -> Option<&[u8]> {
        let start = self.at;
        let length = memchr(b'\n', &self.bytes[start..])?;
        self.at = start + length + 1;
        Some(self.bytes[start..start + length].trim_ascii_end())
    }

    /// Drops a line that is too long for a header, but for its end, which may be the start of one.
    fn too_long<T>(&mut self) -> Option<Result<T, String>> {
        let length = self.bytes.len() - self.at;
        if length <= LONGEST_HEADER {
            return None;
        }
        self.at = self.bytes.len() - NAME.len();
        Some(Err(format!("{length} bytes without a line break where a header should be")))
    }
}

/// Writes `body` as a frame.
pub fn write_frame(to: &mut impl Write, body: &[u8]) -> io::Result<()> {
    let mut frame = format!("Content-Length: {}\r\n\r\n", body.len()).into_bytes();
    frame.extend_from_slice(body);
    to.write_all(&frame)
}

const NAME: &[u8] = b"content-length:";

/// What a `Content-Length` header says, if `line` is one or ends in one.
fn content_length(line: &[u8]) -> Option<Result<usize, String>> {
    let value = memchr_iter(b':', line)
        .rev()
        .find(|colon| {
            let before = &line[..=*colon];
            let name = &before[before.len().saturating_sub(NAME.len())..];
            let glued = before.len() > NAME.len() && is_name_byte(before[before.len() - NAME.len() - 1]);
            name.eq_ignore_ascii_case(NAME) && !glued
        })
        .map(|colon| line[colon + 1..].trim_ascii())?;
    let length = std::str::from_utf8(value).ok().and_then(|digits| digits.parse().ok());
    Some(match length {
        Some(length) if length <= LARGEST_BODY => Ok(length),
        _ => Err(format!("content-length is {:?}", String::from_utf8_lossy(value))),
    })
}

fn is_name_byte(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || byte == b'-'
}

/// Reads `body` as one message, and says how many of its bytes that took: fewer than all where the length
/// was wrong and took in the start of the next frame.
fn read_body<T>(body: &[u8], read: impl Fn(&[u8]) -> Result<T, String>) -> (Result<T, String>, usize) {
    match read(body) {
        Ok(message) => (Ok(message), body.len()),
        Err(problem) => match value_end(body) {
            Some(end) => (read(&body[..end]), end),
            None => (Err(problem), header_inside(body).unwrap_or(body.len())),
        },
    }
}

/// Where the JSON value at the start of `body` ends, if more than blanks follow it.
fn value_end(body: &[u8]) -> Option<usize> {
    let mut values = serde_json::Deserializer::from_slice(body).into_iter::<serde::de::IgnoredAny>();
    values.next()?.ok()?;
    Some(values.byte_offset()).filter(|end| !body[*end..].trim_ascii().is_empty())
}

/// Where a line that is a header starts inside `body`. No JSON holds one: line breaks in its strings are
/// escaped.
fn header_inside(body: &[u8]) -> Option<usize> {
    let mut start = 0;
    for end in memchr_iter(b'\n', body) {
        let line = &body[start..end];
        if matches!(content_length(line), Some(Ok(_))) {
            return Some(start);
        }
        start = end + 1;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(body: &str) -> String {
        format!("Content-Length: {}\r\n\r\n{body}", body.len())
    }

    fn read(body: &[u8]) -> Result<String, String> {
        let json = serde_json::from_slice::<serde_json::Value>(body);
        json.map(|json| json.to_string()).map_err(|error| error.to_string())
    }

    /// Expects the bodies that are JSON, and a `!` for each complaint, however the bytes are cut.
    #[track_caller]
    fn expect(bytes: &str, bodies: &[&str]) {
        for cut in [1, 7, bytes.len().max(1)] {
            let mut frames = Frames::default();
            let mut seen = Vec::new();
            for piece in bytes.as_bytes().chunks(cut) {
                frames.feed(piece);
                while let Some(body) = frames.next(read) {
                    seen.push(body.unwrap_or_else(|_| "!".to_owned()));
                }
            }
            assert_eq!(seen, bodies, "in pieces of {cut} bytes");
        }
    }

    #[test]
    fn reads_frames_in_a_row() {
        expect(&format!("{}{}", frame("[1]"), frame(r#"["é"]"#)), &["[1]", r#"["é"]"#]);
    }

    #[test]
    fn a_header_may_be_in_any_case_with_others_beside_it() {
        expect("content-length:3\r\n\r\n[1]", &["[1]"]);
        expect("X-Extra: 1\r\nCONTENT-LENGTH:  3 \r\nContent-Type: x\r\nA: b\r\n\r\n[1]", &["[1]"]);
        expect("Content-Length: 3\n\n[1]", &["[1]"]);
    }

    #[test]
    fn a_body_that_is_no_message_costs_only_itself() {
        expect(&format!("{}{}", frame("[1"), frame("[2]")), &["!", "[2]"]);
        expect(&format!("{}{}", frame(""), frame("[2]")), &["!", "[2]"]);
    }

    #[test]
    fn a_wrong_length_does_not_cost_the_next_message() {
        let (b, c) = (frame("[2]"), frame("[3]"));
        expect(&format!("Content-Length: 2\r\n\r\n[1]{b}"), &["!", "[2]"]);
        expect(&format!("Content-Length: 30\r\n\r\n{{1]{b}{c}"), &["!", "[2]", "[3]"]);
    }

    #[test]
    fn a_length_too_large_costs_no_message_at_all() {
        for extra in 1..30 {
            let bytes = format!("Content-Length: {}\r\n\r\n[1]{}{}", 3 + extra, frame("[2]"), frame("[3]"));
            expect(&bytes, &["[1]", "[2]", "[3]"]);
        }
    }

    #[test]
    fn bytes_between_frames_are_passed_over() {
        expect(&format!("hello\r\n\r\nworld {}", frame("[1]")), &["[1]"]);
        expect(&format!("Content-Length: many\r\n\r\n{}", frame("[1]")), &["!", "[1]"]);
        expect(&format!("Content-Length: 99999999999\r\n\r\n{}", frame("[1]")), &["!", "[1]"]);
        expect(&format!("X-Content-Length: 9\r\n{}", frame("[1]")), &["[1]"]);
    }

    #[test]
    fn a_line_without_end_is_dropped_but_for_a_header_at_its_end() {
        let mut frames = Frames::default();
        frames.feed(&vec![b'x'; LONGEST_HEADER + 1]);
        assert!(matches!(frames.next(read), Some(Err(_))));
        assert_eq!(frames.next(read), None);
        frames.feed(b" Content-Length: 3\r\n\r\n[1]");
        assert_eq!(frames.next(read), Some(Ok("[1]".to_owned())));
    }

    #[test]
    fn a_written_frame_is_read_back() {
        let mut bytes = Vec::new();
        write_frame(&mut bytes, r#"["é"]"#.as_bytes()).unwrap();
        expect(&String::from_utf8(bytes).unwrap(), &[r#"["é"]"#]);
    }
}
