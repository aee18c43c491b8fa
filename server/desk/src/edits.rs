use lope_rules::Edit;
use lope_syntax::Span;
use similar::{Algorithm, DiffOp, capture_diff_slices};

/// The edits that make `new` of `old`, as small as lines and what their ends have in common allow; in
/// order, with spans that count from `offset` bytes before `old`.
pub fn edits_between(old: &str, new: &str, offset: usize) -> Vec<Edit> {
    let (old_lines, new_lines): (Vec<&str>, Vec<&str>) = (lines(old), lines(new));
    let starts = |lines: &[&str]| -> Vec<usize> {
        let ends = lines.iter().scan(0, |at, line| {
            *at += line.len();
            Some(*at)
        });
        std::iter::once(0).chain(ends).collect()
    };
    let (old_starts, new_starts) = (starts(&old_lines), starts(&new_lines));
    let changes = capture_diff_slices(Algorithm::Myers, &old_lines, &new_lines);
    let changes = changes.into_iter().filter(|change| !matches!(change, DiffOp::Equal { .. }));
    changes
        .flat_map(|change| {
            let (was, is) = (change.old_range(), change.new_range());
            // As many lines as there are on both sides: each became its counterpart, and edits stay inside
            // them. The rest is added or taken out.
            let paired = was.len().min(is.len());
            let rest = (was.start + paired..was.end, is.start + paired..is.end);
            let pairs = was.zip(is).map(|(was, is)| (was..was + 1, is..is + 1));
            pairs.chain([rest]).collect::<Vec<_>>()
        })
        .filter_map(|(was, is)| {
            let (from, to) = (old_starts[was.start], new_starts[is.start]);
            trimmed(&old[from..old_starts[was.end]], &new[to..new_starts[is.end]], offset + from)
        })
        .collect()
}

/// `text` in lines, each with its line break.
fn lines(text: &str) -> Vec<&str> {
    text.split_inclusive('\n').collect()
}

/// The edit that makes `new` of `old`, less what they start and end with alike; none where they are equal.
fn trimmed(old: &str, new: &str, offset: usize) -> Option<Edit> {
    let head = old.char_indices().zip(new.chars()).find(|((_, a), b)| a != b);
    let head = head.map_or(old.len().min(new.len()), |((at, _), _)| at);
    let (old, new) = (&old[head..], &new[head..]);
    let tail: usize =
        old.chars().rev().zip(new.chars().rev()).take_while(|(a, b)| a == b).map(|(a, _)| a.len_utf8()).sum();
    let (old, new) = (&old[..old.len() - tail], &new[..new.len() - tail]);
    let start = (offset + head) as u32;
    (old != new).then(|| Edit { span: Span::new(start, start + old.len() as u32), text: new.to_owned() })
}

#[cfg(test)]
mod tests {
    use lope_rules::apply;

    use super::*;

    fn edits(old: &str, new: &str) -> Vec<String> {
        let edits = edits_between(old, new, 0);
        assert_eq!(apply(old, &edits), new);
        edits.iter().map(|edit| format!("{:?} -> {:?}", edit.span.of(old), edit.text)).collect()
    }

    #[test]
    fn edits_are_as_small_as_what_changed() {
        assert_eq!(edits("a 1:0 h4 b\nc\n", "a 1:0 1:4 b\nc\n"), ["\"h\" -> \"1:\""]);
        assert_eq!(edits("a\nb\nc\n", "a\nX\nc\n"), ["\"b\" -> \"X\""]);
        assert_eq!(edits("a\n\n\nb\n", "a\n\nb\n"), ["\"\\n\" -> \"\""]);
        assert_eq!(edits("é\n", "è\n"), ["\"é\" -> \"è\""]);
        assert_eq!(edits("same", "same"), [""; 0]);
        assert_eq!(edits("", "new\n"), ["\"\" -> \"new\\n\""]);
    }

    #[test]
    fn two_lines_changed_are_two_edits() {
        assert_eq!(edits("a1\nb1\n", "a2\nb2\n"), ["\"1\" -> \"2\"", "\"1\" -> \"2\""]);
        assert_eq!(edits("a1\n", "a2\nb\nc\n"), ["\"1\" -> \"2\"", "\"\" -> \"b\\nc\\n\""]);
        assert_eq!(edits("a1\nb\nc\n", "a2\n"), ["\"1\" -> \"2\"", "\"b\\nc\\n\" -> \"\""]);
        assert_eq!(edits("a1", "a2\nb"), ["\"1\" -> \"2\\n\"", "\"\" -> \"b\""]);
    }
}
