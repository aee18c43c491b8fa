//! Frames of the base protocol: a header that gives the length, an empty line, the body.

use std::io::{self, BufRead, Error, ErrorKind};

/// `body` with its header.
pub fn frame(body: impl AsRef<[u8]>) -> Vec<u8> {
    let body = body.as_ref();
    let mut framed = format!("Content-Length: {}\r\n\r\n", body.len()).into_bytes();
    framed.extend_from_slice(body);
    framed
}

/// The body of the next frame; none at the end of the stream.
///
/// # Errors
/// A byte that belongs to no frame: a server must print nothing else.
pub fn read(stream: &mut impl BufRead) -> io::Result<Option<Vec<u8>>> {
    let mut length = None;
    loop {
        let mut line = Vec::new();
        if stream.read_until(b'\n', &mut line)? == 0 && length.is_none() {
            return Ok(None);
        }
        match String::from_utf8_lossy(&line).strip_suffix("\r\n") {
            Some("") => break,
            Some(header) => length = length.or(Some(content_length(header)?)),
            None => return Err(not_a_frame(&line)),
        }
    }
    let mut body = vec![0; length.ok_or_else(|| not_a_frame(b"\r\n"))?];
    stream.read_exact(&mut body)?;
    Ok(Some(body))
}

fn content_length(header: &str) -> io::Result<usize> {
    let number = header.strip_prefix("Content-Length: ").and_then(|number| number.parse().ok());
    number.ok_or_else(|| not_a_frame(header.as_bytes()))
}

fn not_a_frame(line: &[u8]) -> Error {
    Error::new(ErrorKind::InvalidData, format!("not a frame: {:?}", String::from_utf8_lossy(line)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_framed_is_read_again() {
        let stream = [frame("{}"), frame("é")].concat();
        let mut stream = &stream[..];
        assert_eq!(read(&mut stream).unwrap().unwrap(), b"{}");
        assert_eq!(read(&mut stream).unwrap().unwrap(), "é".as_bytes());
        assert_eq!(read(&mut stream).unwrap(), None);
    }

    #[test]
    fn a_stray_line_is_an_error() {
        let mut stream = &b"thread panicked\n"[..];
        assert!(read(&mut stream).is_err());
    }
}
