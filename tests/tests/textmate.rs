//! The TextMate grammar cuts every line as the program does, judged by the engine of VS Code.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::process::Command;

use lope_syntax::{Token, TokenKind, parse, tunes};
use lope_tests::book::demo;
use lope_tests::outside::cached;
use lope_tests::program::{feed, root};
use lope_tests::soup;
use lope_tests::tunes::{Trouble, tune};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use serde_json::{Value, json};

/// The scope of each kind of token; a field's text has either of two.
const fn scope(kind: TokenKind) -> Option<&'static str> {
    Some(match kind {
        TokenKind::Blank | TokenKind::LineBreak => return None,
        TokenKind::Comment => "comment.line.number-sign.lope",
        TokenKind::FieldName => "entity.other.attribute-name.field.lope",
        TokenKind::Colon => "punctuation.separator.key-value.lope",
        TokenKind::FieldText => "string.unquoted.field.lope",
        TokenKind::PartWord => "keyword.control.part.lope",
        TokenKind::PhraseWord => "keyword.control.phrase.lope",
        TokenKind::EndingWord => "keyword.control.ending.lope",
        TokenKind::MelodyWord => "keyword.control.melody.lope",
        TokenKind::Name => "entity.name.type.part.lope",
        TokenKind::Times => "constant.numeric.times.lope",
        TokenKind::Passes => "constant.numeric.passes.lope",
        TokenKind::BarLine => "punctuation.separator.bar.lope",
        TokenKind::Note => "constant.numeric.strike.lope",
        TokenKind::Thumb => "variable.language.thumb.lope",
        TokenKind::Hammer => "support.function.hammer.lope",
        TokenKind::Pull => "support.function.pull.lope",
        TokenKind::Slide => "support.function.slide.lope",
        TokenKind::Pitch => "constant.numeric.pitch.lope",
        TokenKind::Hold => "keyword.operator.hold.lope",
        TokenKind::Silence => "keyword.operator.silence.lope",
        TokenKind::BarAgain => "keyword.control.bar-again.lope",
        TokenKind::PhraseCall => "entity.name.function.call.lope",
        TokenKind::BraceOpen => "punctuation.section.braces.begin.lope",
        TokenKind::BraceClose => "punctuation.section.braces.end.lope",
        TokenKind::Over => "keyword.operator.over.lope",
        TokenKind::BrushOpen => "punctuation.section.brackets.begin.lope",
        TokenKind::BrushClose => "punctuation.section.brackets.end.lope",
        TokenKind::Words => "string.quoted.double.words.lope",
        TokenKind::Chord => "string.other.chord.lope",
        TokenKind::Accent => "storage.modifier.accent.lope",
        TokenKind::Vibrato => "storage.modifier.vibrato.lope",
        TokenKind::Choke => "storage.modifier.choke.lope",
        TokenKind::Finger => "storage.modifier.finger.lope",
        TokenKind::Unknown => "invalid.illegal.unknown.lope",
    })
}

/// What the grammar tells apart and the tokens do not: titles among texts, phrases among names.
const FINER: [(&str, &str); 2] = [
    ("entity.name.section.tune.lope", "string.unquoted.field.lope"),
    ("entity.name.function.phrase.lope", "entity.name.type.part.lope"),
];

/// A scope and what it covers.
type Piece<'t> = (&'t str, &'t str);

/// What the program cuts `text` into. A byte order mark never comes to an editor's grammar.
fn pieces_of_reader(text: &str) -> Vec<Piece<'_>> {
    let all = tunes(text).into_iter().flat_map(|tune| {
        let tune = &text[tune];
        let tree = parse(tune);
        let piece = |token: &Token| Some((scope(token.kind)?, token.span.of(tune)));
        tree.tokens().iter().filter_map(piece).collect::<Vec<_>>()
    });
    all.collect()
}

/// What the engine cuts `texts` into.
fn check(texts: &[String]) {
    let path = root().join("grammar/textmate/lope.tmLanguage.json");
    let script = root().join("tests/editors/textmate/tokens.cjs");
    let mut node = Command::new("node");
    node.arg(script).arg(path).env("NODE_PATH", cached("textmate/node_modules"));
    let output = feed(&mut node, json!(texts).to_string().as_bytes());
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    let scopes: Vec<Option<&str>> = answer["scopes"].as_array().unwrap().iter().map(innermost).collect();
    let answers = answer["texts"].as_array().unwrap();
    assert_eq!(answers.len(), texts.len());
    for (text, tokens) in texts.iter().zip(answers) {
        assert_eq!(pieces_of_engine(text, tokens, &scopes), pieces_of_reader(text), "{text:?}");
    }
}

/// The innermost of a list of scopes, named as the reader's tokens are; nothing for the file's own.
fn innermost(scopes: &Value) -> Option<&str> {
    let (_, scope) = scopes.as_str().unwrap().rsplit_once(' ')?;
    Some(FINER.iter().find(|(finer, _)| *finer == scope).map_or(scope, |(_, scope)| *scope))
}

fn pieces_of_engine<'t>(text: &'t str, tokens: &Value, scopes: &[Option<&'t str>]) -> Vec<Piece<'t>> {
    let bytes = bytes_of_units(text);
    let number = |value: &Value| usize::try_from(value.as_u64().unwrap()).unwrap();
    let tokens = tokens.as_array().unwrap().iter();
    tokens
        .filter_map(|token| {
            let [start, end, scope] = [0, 1, 2].map(|at| number(&token[at]));
            Some((scopes[scope]?, &text[bytes[start]..bytes[end]]))
        })
        .collect()
}

/// Where each UTF-16 unit of `text` starts, and where the text ends.
fn bytes_of_units(text: &str) -> Vec<usize> {
    let units = text.char_indices().flat_map(|(at, letter)| vec![at; letter.len_utf16()]);
    units.chain([text.len()]).collect()
}

#[test]
fn the_demo_book_is_cut_alike() {
    check(&demo());
}

#[test]
fn a_thousand_made_tunes_are_cut_alike() {
    let trouble = |seed| if seed % 2 == 0 { Trouble::None } else { Trouble::Often };
    check(&(0..1000).map(|seed| tune(seed, 1000, trouble(seed))).collect::<Vec<_>>());
}

#[test]
fn any_text_is_cut_alike() {
    let mut runner = TestRunner::default();
    let mut text = || soup::text().new_tree(&mut runner).unwrap().current();
    let texts = (0..500).map(|_| text().trim_start_matches('\u{feff}').to_owned());
    check(&texts.collect::<Vec<_>>());
}
