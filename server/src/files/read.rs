//! Reading whole files as text.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use super::Problem;

/// The largest file that is read, in bytes. A tune is a few thousand; this is ten times the largest that
/// the tests read, and keeps an endless input from filling the memory.
const LARGEST: u64 = 100 << 20;

/// Reads files one after another into one buffer.
#[derive(Default)]
pub struct Reader {
    bytes: Vec<u8>,
}

impl Reader {
    /// The text of the file at `path`.
    pub fn read(&mut self, path: &Path) -> Result<&str, Problem> {
        // Through `Take` the file is not asked for its size first: two system calls less for each file.
        let limited = |file: File| file.take(LARGEST + 1);
        self.bytes.clear();
        self.bytes.reserve(64 << 10);
        File::open(path)
            .and_then(|file| limited(file).read_to_end(&mut self.bytes))
            .map_err(|error| cannot_read(path, &error))?;
        text(path, &self.bytes)
    }
}

/// The text on standard input, called `name` where something is wrong with it.
pub fn read_standard_input(name: &Path) -> Result<String, Problem> {
    let mut bytes = Vec::new();
    io::stdin()
        .lock()
        .take(LARGEST + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| Problem::system(name, "read it", &error))?;
    text(name, &bytes).map(str::to_owned)
}

/// The problem that a file or a folder cannot be read. Of a link that leads nowhere it says that it does; the
/// system only says that nothing is there.
pub fn cannot_read(path: &Path, error: &io::Error) -> Problem {
    let leads_nowhere = error.kind() == io::ErrorKind::NotFound;
    match path.read_link() {
        Ok(target) if leads_nowhere => Problem::new(
            path,
            format!("is a link to {}, and nothing is there; mend the link or take it away", target.display()),
        ),
        _ => Problem::system(path, "read it", error),
    }
}

/// `bytes` as text, or where and why they are not.
fn text<'b>(path: &Path, bytes: &'b [u8]) -> Result<&'b str, Problem> {
    if bytes.len() as u64 > LARGEST {
        return Err(Problem::new(path, format!("is larger than {} MB, too large for tab", LARGEST >> 20)));
    }
    let at = |offset: usize| Some(line_and_column(&bytes[..offset]));
    if let Some(offset) = memchr::memchr(0, bytes) {
        let message = "holds a zero byte, so it is not text, or not in UTF-8; save it as UTF-8 text, or leave it out \
                       of the book in lope.toml";
        return Err(Problem { path: path.to_owned(), at: at(offset), message: message.to_owned() });
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let offset = error.valid_up_to();
        let message = format!("byte {:#04x} is not UTF-8 text; save the file as UTF-8", bytes[offset]);
        Problem { path: path.to_owned(), at: at(offset), message }
    })
}

/// The place after `before`, which is text or nearly: line and column in characters, both from 1.
fn line_and_column(before: &[u8]) -> (u32, u32) {
    let line_start = memchr::memrchr(b'\n', before).map_or(0, |at| at + 1);
    let line = memchr::memchr_iter(b'\n', before).count() + 1;
    let column = String::from_utf8_lossy(&before[line_start..]).chars().count() + 1;
    (line as u32, column as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problem(bytes: &[u8]) -> String {
        text(Path::new("a.lope"), bytes).unwrap_err().to_string()
    }

    #[test]
    fn what_is_not_utf_8_is_named_with_its_place() {
        assert_eq!(
            problem(b"tune: T\nby: \xc3\x89l\xe9a\n"),
            "a.lope:2:7: byte 0xe9 is not UTF-8 text; save the file as UTF-8"
        );
    }

    #[test]
    fn a_binary_file_is_told_from_a_slip() {
        assert!(problem(b"\x7fELF\x02\x01\x00").starts_with("a.lope:1:7: holds a zero byte"));
    }

    #[test]
    fn a_later_file_does_not_show_an_earlier_one() {
        let folder = tempfile::tempdir().unwrap();
        let (long, short) = (folder.path().join("long"), folder.path().join("short"));
        std::fs::write(&long, "a long text\n".repeat(10_000)).unwrap();
        std::fs::write(&short, "short").unwrap();
        let mut reader = Reader::default();
        assert_eq!(reader.read(&long).unwrap().len(), 120_000);
        assert_eq!(reader.read(&short).unwrap(), "short");
    }

    #[test]
    fn a_missing_file_and_a_folder_are_problems() {
        let folder = tempfile::tempdir().unwrap();
        let mut reader = Reader::default();
        let missing = reader.read(&folder.path().join("none.lope")).unwrap_err();
        assert_eq!(missing.message, "cannot read it: there is no such file or folder");
        assert_eq!(reader.read(folder.path()).unwrap_err().message, "cannot read it: is a directory");
    }
}
