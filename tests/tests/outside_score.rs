//! Scores we make, as lxml and music21 read them.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;

use lope_exchange::musicxml::{Staff, write};
use lope_tests::outside::ask;
use lope_tests::program::root;
use lope_tests::tunes::{Trouble, tune};
use lope_tune::{Defaults, Tune, play, read};
use serde_json::{Value, json};

#[test]
fn scores_say_what_is_played() {
    let mut texts: Vec<String> = (0..14).map(|seed| tune(seed, 500, Trouble::Often)).collect();
    for file in fs::read_dir(root().join("server/src/cli/start/book")).unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "lope") {
            texts.push(fs::read_to_string(path).unwrap());
        }
    }
    texts.extend(CORNERS.iter().map(|music| format!("tune: A Corner\nmeter: 6/8\n{music}")));
    let scores: Vec<Value> = texts.iter().enumerate().map(|(at, text)| score(text, at % 2 == 0)).collect();
    ask("score", &Value::from(scores));
}

/// What the tunes above have little of.
const CORNERS: [&str; 9] = [
    "part A x2\n| 3:0 h2 2:0  1:2 p2:0 s3 |\nending 1\n| - 3:2 s4  3:0-- |\nending 2\n| --- 3:0-- |\n",
    "capo: 2\ntuning: aDADE\npart A x3\n1:0 | [4:0 3:2 2:1 1:2!]- t 1:2~ 2:0 3:3^/r | 3:0-- - 5:7 |\n",
    "part A\n| <G> 3:0 t 3:0 <N.C.> \"wait\" _ _ _ | % | <Am7/E> 2:1---<D7>-- |\nmeter: 4/4\ntempo: 63\n| {1:0 2:0 3:0 1:0 2:0}/4 {1:0 - 2:0}/2 {1:0 2:0 3:0 1:2 - 2:0}/2 | 1:0 - - - {2:0 2:1}- - - |\n",
    "order: B A\npart A\n| 3:0 t 3:0  3:0 t 3:0 |\npart B x2\n2:0 | @lick | 1:0----|\nphrase lick\n| 2:1 t 2:0  3:0-- | 3:2-- |\n",
    "order: A A B A\npart A\n| 3:0 t 3:0  3:0 t 3:0 |\nending 1\n| 1:0----- |\nending 2\n| 2:0----- |\npart B\n1:2 | 3:2-- 3:0- |\n",
    "part A\n| 3:0-- 3:0-- |\nending 1,2\n| 1:0-- 3:0-- |\nending 3\n| 2:0-- 3:0-- |\n",
    "part A x3\n| 3:0-- 3:0-- |\nending 1,3\n| 1:0-- 3:0-- |\nending 2\n| 2:0-- 3:0-- |\n",
    "feel: swing 2:1\nby: & < > \"\ntags: a, b\ngait: x..\nunit: 1/16\npart A\n| 3:0 t 3:0  3:0 t 3:0 3:0 t 3:0  3:0 t 3:0 |\nunit: 1/8\ngait: x.x\n| 3:0 h5 - - 3:0 - |\n",
    "part A x2\n| 3:0- | 3:0-- | 3:0------- |\nending 1\n| 5:3 t 3:0 |\npart B\n| 3:0--------- {3:0 {3:0 2:0 1:0}/2 3:0 2:0}/3 |\n",
];

/// A tune's score and what is played.
fn score(text: &str, notes: bool) -> Value {
    let tune: Tune = read(text, &lope_syntax::parse(text), &Defaults::default()).tune;
    let staves: &[Staff] = if notes { &[Staff::Notes, Staff::Tablature] } else { &[Staff::Tablature] };
    let played = play(&tune);
    let sounds = played.notes.iter().filter_map(|note| {
        let (onset, length) = (note.onset.to_string(), note.length.to_string());
        Some(json!([onset, length, note.pitch?.0, note.string, note.fret, format!("{:?}", note.how)]))
    });
    let sounds: Vec<Value> = sounds.collect();
    json!({ "title": tune.header.title, "musicxml": write(&tune, staves).unwrap().text, "notes": sounds })
}
