//! What the arranger makes of a folder of melodies: the figures of server/arrange/SETTINGS.md.
//!
//! `settings FOLDER` arranges every .musicxml file in it, checks what comes out, and prints shares and times.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a tool, run by hand")]

use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Instant;
use std::{env, fs};

use lope_arrange::{Setting, Wishes, arrange, naive};
use lope_desk::{Level, Reading, Settings};
use lope_exchange::musicxml;
use lope_tune::{How, Melody, Note, write};

#[derive(Default)]
struct Figures {
    tunes: usize,
    arranged: usize,
    notes: usize,
    left_out: usize,
    errors: usize,
    off_strikes: usize,
    hard_reaches: usize,
    with_drops: usize,
    hammered: usize,
    with_hammered: usize,
    low: usize,
    beaten: usize,
    stuck: usize,
    shares: Vec<u32>,
    millis: Vec<u128>,
}

fn main() -> ExitCode {
    let Some(folder) = env::args().nth(1) else {
        eprintln!("usage: settings FOLDER");
        return ExitCode::from(2);
    };
    let entries = fs::read_dir(folder).expect("the folder is read").map(|entry| entry.unwrap().path());
    let mut paths: Vec<PathBuf> =
        entries.filter(|path| path.extension().is_some_and(|ending| ending == "musicxml")).collect();
    paths.sort();
    let mut figures = Figures::default();
    for path in &paths {
        figures.tunes += 1;
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let melody = match musicxml::read(&fs::read(path).unwrap()) {
            Ok(read) => read.melody,
            Err(error) => {
                println!("{name}: {error}");
                continue;
            }
        };
        let start = Instant::now();
        let settings = arrange(&melody, &Wishes::default());
        figures.millis.push(start.elapsed().as_millis());
        match settings {
            Ok(settings) => figures.take(&name, &melody, &settings[0]),
            Err(trouble) => println!("{name}: {trouble:?}"),
        }
    }
    figures.print();
    ExitCode::SUCCESS
}

impl Figures {
    fn take(&mut self, name: &str, melody: &Melody, setting: &Setting) {
        self.arranged += 1;
        self.notes += melody.notes.iter().filter(|note| !note.tied).count();
        self.left_out += setting.left_out.len();
        let reading = Reading::new(write(&setting.tune), &Arc::new(Settings::default()));
        for finding in reading.findings() {
            let rule = finding.rule.rule().name;
            let counts = match rule {
                "off-strike" => &mut self.off_strikes,
                "hard-reach" => &mut self.hard_reaches,
                _ if finding.level == Level::Error => &mut self.errors,
                _ => continue,
            };
            *counts += 1;
            println!("{name}: {rule}: {}", finding.message);
        }
        self.with_drops += usize::from(setting.tally.drops > 0);
        let is_hammered = |note: &&Note| note.alternate && note.how == How::Hammer;
        let hammered = setting.tune.notes.iter().filter(is_hammered).count();
        self.hammered += hammered;
        self.with_hammered += usize::from(hammered > 0);
        self.low += usize::from(setting.tally.highest <= 5);
        let naive = naive(melody, &setting.choice, &Wishes::default());
        self.stuck += usize::from(naive.stuck > 0);
        if setting.melody_effort < naive.effort {
            self.beaten += 1;
        } else {
            println!("{name}: {} where the naive setting takes {}", setting.melody_effort, naive.effort);
        }
        self.shares.push(100 * setting.melody_effort / naive.effort.max(1));
    }

    fn print(mut self) {
        self.shares.sort_unstable();
        self.millis.sort_unstable();
        let share = |count: usize| 100.0 * count as f64 / self.arranged.max(1) as f64;
        println!("arranged              {} of {}", self.arranged, self.tunes);
        println!("melody notes          {}, of which {} ornaments left out", self.notes, self.left_out);
        println!("errors, off-strikes   {}, {}", self.errors, self.off_strikes);
        println!("hard reaches          {}", self.hard_reaches);
        println!("with a dropped thumb  {:.1} %", share(self.with_drops));
        println!("other strings hammered {} notes in {} tunes", self.hammered, self.with_hammered);
        println!("up to the fifth fret  {:.1} %", share(self.low));
        println!("easier than naive     {} of {}", self.beaten, self.arranged);
        println!("naive cannot finish   {}", self.stuck);
        if let (Some(share), Some(worst)) = (self.shares.get(self.shares.len() / 2), self.shares.last()) {
            println!("effort beside naive   {share} % in the middle, {worst} % at most");
        }
        if let (Some(usual), Some(longest)) = (self.millis.get(self.millis.len() / 2), self.millis.last()) {
            println!("time for all choices  {usual} ms in the middle, {longest} ms at most");
        }
    }
}
