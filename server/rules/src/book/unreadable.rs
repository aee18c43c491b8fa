use lope_syntax::{Fault, FaultKind, NodeKind, Span, TokenKind};
use lope_tune::{FINEST, IssueKind};

use super::line_break;
use crate::book::quote;
use crate::{Edit, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};
use words::{LineWord, complaint, line_word, near_note};

mod words;

pub static RULE: Rule = Rule {
    name: "unreadable",
    level: Some(Level::Error),
    family: Family::Tune,
    page: Page {
        finds: "Text that is not notation.",
        why: "It is left out, so it is not played and not checked. Everything around it is still \
              understood, but the bar it stands in is not counted until it is put right.",
        example: Example {
            bad: "\
tune: The Open Hatch
meter: 4/4

part A
| 3:0 t 2:0 t  {1:2 p0 2:1 3:0 |
",
            good: "\
tune: The Open Hatch
meter: 4/4

part A
| 3:0 t 2:0 t  {1:2 p0 2:1 3:0} |
",
        },
        mend: "Closes a brace, a brush, a quote or a chord symbol; takes out a bracket that closes nothing; \
               joins a mark to its note; gives music that stands outside a part its heading; corrects the \
               word a line begins with, a capital letter or a colon; or makes stray words a text above the tab. \
               What was meant is a guess, so look at it.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    let mut next = 0;
    while let Some((slip, after)) = slip_at(music, next) {
        next = after;
        let finding = report.text(music, slip.fault.span, complaint(music, slip.fault));
        if let Some(close) = slip.close {
            finding.relate(close, "it closes only here, in another bar");
        }
    }
    for issue in music.issues {
        let message = match issue.kind {
            IssueKind::PitchInTab => format!(
                "{} is a pitch, and a part is written in strings and frets; write `melody` and a name above its bars, \
                 or a note as in `1:0`",
                quote(issue.span.of(music.text))
            ),
            IssueKind::TabInMelody => format!(
                "{} has no place in a melody, which is written in pitches as in `d4` and `f#4`, or in single notes as \
                 in `3:0` where they are to be played just so",
                quote(issue.span.of(music.text))
            ),
            IssueKind::SlurOfPitch => format!(
                "{} starts from a pitch, and which string that is on is not said; name the string, as in `h3:2`",
                quote(issue.span.of(music.text))
            ),
            IssueKind::NoSuchPlace => format!(
                "{} is on no neck; strings are 1 to 5, and the drone has no frets 1 to 5",
                quote(issue.span.of(music.text))
            ),
            IssueKind::NoSuchPitch => {
                format!("{} is beyond what is heard; write a lower octave", quote(issue.span.of(music.text)))
            }
            IssueKind::NothingToRepeat => "no bar comes before this one that `%` could repeat".to_owned(),
            IssueKind::TooFine => {
                format!(
                    "this slot is shorter than 1/{FINEST} of a whole note, too short to count; write it longer"
                )
            }
            _ => continue,
        };
        report.text(music, issue.span, message);
    }
}

/// What a writer got wrong in one go.
struct Slip {
    fault: Fault,
    /// For a brace or brush that goes on over a bar line: the bracket that closes it too late.
    close: Option<Span>,
}

/// The slip that begins with the fault numbered `at`, and the number of the fault after it. Pieces that
/// touch are one slip, such as `1;2`, and so are a bracket that opens in one bar and its pair in another.
fn slip_at(music: &Music, at: usize) -> Option<(Slip, usize)> {
    let is_piece = |kind| matches!(kind, FaultKind::Unknown | FaultKind::NoFret | FaultKind::SlurWithoutFret);
    let (mut fault, rest) =
        music.tree.faults().get(at..)?.split_first().map(|(fault, rest)| (*fault, rest))?;
    let pair = match fault.kind {
        FaultKind::OpenBrace => "}",
        FaultKind::OpenBrush => "]",
        _ => "",
    };
    if let [close, ..] = rest
        && close.kind == FaultKind::StrayClose
        && close.span.of(music.text) == pair
    {
        return Some((Slip { fault, close: Some(close.span) }, at + 2));
    }
    let touches = |last: &Fault, next: &Fault| {
        last.span.end == next.span.start && is_piece(last.kind) && is_piece(next.kind)
    };
    let mut after = at + 1;
    for next in rest {
        if !touches(&fault, next) {
            break;
        }
        fault = Fault { kind: FaultKind::Unknown, span: fault.span.cover(next.span) };
        after += 1;
    }
    Some((Slip { fault, close: None }, after))
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let at = music.tree.faults().partition_point(|fault| fault.span.start < finding.span.start);
    let slip = slip_at(music, at).filter(|(slip, _)| slip.fault.span == finding.span);
    slip.and_then(|(slip, _)| mend(music, &slip)).into_iter().collect()
}

/// The one obvious way to put `slip` right, where there is one.
fn mend(music: &Music, slip: &Slip) -> Option<Mend> {
    let Fault { kind, span } = slip.fault;
    let text = span.of(music.text);
    match kind {
        FaultKind::OpenBrace => close(music, NodeKind::Brace, slip, "}"),
        FaultKind::OpenBrush => close(music, NodeKind::Brush, slip, "]"),
        FaultKind::StrayClose => Some(Mend::risky(
            format!("take out the `{text}`"),
            vec![Edit::replace(with_blanks(music, span), "")],
        )),
        FaultKind::StrayMark => join(music, span),
        FaultKind::OpenWords => {
            let at = span.start + words_end(text);
            Some(Mend::risky("close the quote", vec![Edit::insert(at, "\"")]))
        }
        FaultKind::OpenChord => {
            let name = text.find([' ', '\t']).unwrap_or(text.len());
            Some(Mend::risky("close the chord symbol", vec![Edit::insert(span.start + name as u32, ">")]))
        }
        FaultKind::Unknown | FaultKind::MusicOutsidePart => reword(music, slip.fault),
        _ => None,
    }
}

/// Closes the brace or brush of `slip` where reading closed it, before the bar line.
fn close(music: &Music, kind: NodeKind, slip: &Slip, with: &str) -> Option<Mend> {
    let (tree, at) = (music.tree, slip.fault.span.start);
    let token = tree.tokens().partition_point(|token| token.span.start < at) as u32;
    let first = tree.nodes().partition_point(|node| node.first < token);
    let node = tree.nodes()[first..].iter().find(|node| node.kind == kind)?;
    let last = tree.tokens().get(node.last.checked_sub(1)? as usize)?;
    let mut edits = vec![Edit::insert(last.span.end, with)];
    edits.extend(slip.close.map(|close| Edit::replace(with_blanks(music, close), "")));
    Some(Mend::risky(format!("close it with `{with}`"), edits))
}

/// Joins the mark at `span` to the note before it, or `/n` to its brace.
fn join(music: &Music, span: Span) -> Option<Mend> {
    let tokens = music.tree.tokens();
    let at = tokens.partition_point(|token| token.span.start < span.start);
    let [.., owner, blank] = tokens.get(..at)? else { return None };
    let is_length = tokens.get(at)?.kind == TokenKind::Over;
    let owns = if is_length {
        owner.kind == TokenKind::BraceClose
    } else {
        owner.kind.is_note() || owner.kind.is_mark()
    };
    (owns && blank.kind == TokenKind::Blank).then(|| Mend {
        title: format!("join `{}` to what stands before it", span.of(music.text)),
        // A mark changes no pitch and no onset; a brace's length does.
        safe: !is_length,
        edits: vec![Edit::replace(blank.span, "")],
        rests_on: None,
    })
}

/// Corrects words that are no notation.
fn reword(music: &Music, fault: Fault) -> Option<Mend> {
    let (text, span) = (fault.span.of(music.text), fault.span);
    match line_word(music, span) {
        Some((word, LineWord::Heading(heading))) => {
            return Some(Mend::risky(format!("write `{heading}`"), vec![Edit::replace(word, heading)]));
        }
        Some((word, LineWord::Field(field))) => {
            return Some(Mend::risky(
                format!("write `{field}:`"),
                vec![Edit::replace(word, format!("{field}:"))],
            ));
        }
        None => {}
    }
    if fault.kind == FaultKind::MusicOutsidePart {
        let line = music.text[..span.start as usize].rfind(['\r', '\n']).map_or(0, |at| at + 1);
        let taken = |name: &String| music.tune.parts().any(|(_, part)| part.name == *name);
        let name = ('A'..='Z').map(String::from).find(|name| !taken(name))?;
        let heading = format!("part {name}{}", line_break(music.text));
        return Some(Mend::risky(
            format!("write `part {name}` above it"),
            vec![Edit::insert(line as u32, heading)],
        ));
    }
    if let Some(note) = near_note(text) {
        return Some(Mend::risky(format!("write `{note}`"), vec![Edit::replace(span, note)]));
    }
    let are_words =
        text.contains(char::is_alphabetic) && !text.contains(|c: char| c.is_ascii_digit() || c == '"');
    are_words
        .then(|| Mend::risky("make it words above the tab", vec![Edit::replace(span, format!("\"{text}\""))]))
}

/// `span` with the blanks before it.
fn with_blanks(music: &Music, span: Span) -> Span {
    let before = music.text[..span.start as usize].trim_end_matches([' ', '\t']);
    Span::new(before.len() as u32, span.end)
}

/// Where words that do not close most likely end: before a bar line or a note.
fn words_end(text: &str) -> u32 {
    let is_music = |word: &str| {
        word.starts_with(['|', '{', '[', '%', '@'])
            || word.starts_with(|c: char| c.is_ascii_digit()) && word.contains(':')
    };
    let mut end = text.len();
    for (at, _) in text.match_indices([' ', '\t']) {
        let rest = text[at..].trim_start_matches([' ', '\t']);
        if is_music(rest.split([' ', '\t']).next().unwrap_or_default()) {
            end = at;
            break;
        }
    }
    text[..end].trim_end_matches([' ', '\t']).len() as u32
}

#[cfg(test)]
mod tests;
