//! Words and drawings as Markdown or as plain text.

use tower_lsp::lsp_types::{MarkupContent, MarkupKind};

/// A title, a drawing and lines: in Markdown where the client shows that.
pub fn markup(markdown: bool, title: Option<&str>, lines: &[String], drawing: &[String]) -> MarkupContent {
    if !markdown {
        let title = title.into_iter();
        let rows = title.chain(drawing.iter().chain(lines).map(String::as_str));
        let value = rows.collect::<Vec<_>>().join("\n");
        return MarkupContent { kind: MarkupKind::PlainText, value };
    }
    let title = title.map(|title| format!("**{}**", escaped(title)));
    let drawing = (!drawing.is_empty()).then(|| format!("```text\n{}\n```", drawing.join("\n")));
    // Two blanks at the end of a line make Markdown keep the line break.
    let lines: Vec<String> = lines.iter().map(|line| escaped(line)).collect();
    let lines = (!lines.is_empty()).then(|| lines.join("  \n"));
    let value = [title, drawing, lines].into_iter().flatten().collect::<Vec<_>>().join("\n\n");
    MarkupContent { kind: MarkupKind::Markdown, value }
}

/// `text` with what Markdown would take for marks of its own made plain. A line of ours begins with none.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for letter in text.chars() {
        if matches!(letter, '\\' | '`' | '*' | '_' | '<' | '>' | '[' | ']' | '~' | '|') {
            escaped.push('\\');
        }
        escaped.push(letter);
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_player_writes_is_no_markdown() {
        let lines = ["_ * [3:0 2:1]".to_owned(), "2".to_owned()];
        let drawing = ["a  b".to_owned()];
        let made = markup(true, Some("<G>"), &lines, &drawing);
        assert_eq!(made.value, "**\\<G\\>**\n\n```text\na  b\n```\n\n\\_ \\* \\[3:0 2:1\\]  \n2");
        let plain = markup(false, Some("<G>"), &lines, &drawing);
        assert_eq!(plain.value, "<G>\na  b\n_ * [3:0 2:1]\n2");
        assert_eq!(markup(true, None, &[], &drawing).value, "```text\na  b\n```");
    }
}
