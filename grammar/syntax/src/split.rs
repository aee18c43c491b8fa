use std::ops::Range;

/// Cuts a file into the texts of its tunes: byte ranges that touch and together are the file.
///
/// A tune starts at its `tune:` line, with the comment lines straight above it; whatever comes before the
/// first belongs to the first. An empty file is one empty text.
pub fn tunes(text: &str) -> Vec<Range<usize>> {
    let bytes = text.as_bytes();
    let mut cuts = Vec::new();
    let mut start = 0;
    let mut seen_tune = false;
    // Where the unbroken block of comment lines above the current line starts, if there is one.
    let mut comments = None;
    // A byte order mark is a blank.
    let mut line = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    while line < bytes.len() {
        let end = memchr::memchr2(b'\n', b'\r', &bytes[line..]).map_or(bytes.len(), |at| line + at + 1);
        match bytes[line..end].trim_ascii_start() {
            [b'#', ..] => {
                comments.get_or_insert(line);
            }
            [b't', rest @ ..] if is_tune_field(rest) => {
                if seen_tune {
                    let cut = comments.unwrap_or(line);
                    cuts.push(start..cut);
                    start = cut;
                }
                seen_tune = true;
                comments = None;
            }
            // The second half of `\r\n` is no line of its own.
            [] if bytes[line..end] == *b"\n" && line > 0 && bytes[line - 1] == b'\r' => {}
            _ => comments = None,
        }
        line = end;
    }
    cuts.push(start..bytes.len());
    cuts
}

/// Whether a line that starts with `t` goes on to say `tune:`.
fn is_tune_field(rest: &[u8]) -> bool {
    rest.strip_prefix(b"une").is_some_and(|rest| rest.trim_ascii_start().first() == Some(&b':'))
}

#[cfg(test)]
mod tests {
    use super::tunes;

    fn cut(text: &str) -> Vec<&str> {
        tunes(text).into_iter().map(|range| &text[range]).collect()
    }

    #[test]
    fn a_tune_starts_at_its_field_and_takes_the_comments_above() {
        assert_eq!(
            cut("# book\n\ntune: A\nx\n# about B\n# more\ntune: B\n"),
            ["# book\n\ntune: A\nx\n", "# about B\n# more\ntune: B\n"]
        );
        assert_eq!(cut("tune: A\n# loose\n\ntune: B"), ["tune: A\n# loose\n\n", "tune: B"]);
    }

    #[test]
    fn any_line_ending_will_do() {
        assert_eq!(cut("tune: A\r\n# b\r\n  tune : B\r\n").len(), 2);
        assert_eq!(cut("tune: A\r\n# b\r\n  tune : B\r\n")[1], "# b\r\n  tune : B\r\n");
        assert_eq!(cut("tune: A\rtune: B\r").len(), 2);
    }

    #[test]
    fn a_byte_order_mark_hides_no_tune() {
        assert_eq!(cut("\u{feff}tune: A\ntune: B\n"), ["\u{feff}tune: A\n", "tune: B\n"]);
    }

    #[test]
    fn what_only_looks_like_the_field_is_none() {
        assert_eq!(cut("tune: A\ntuner: B\nxtune: C\ntune D").len(), 1);
        assert_eq!(cut(""), [""]);
    }
}
