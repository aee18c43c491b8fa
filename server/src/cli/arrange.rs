mod in_tune;
mod source;

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use lope_arrange::{Choice, Level, Setting, Style, Tally, Trouble, Wishes, arrange, tonics};
use lope_desk::{Settings, tidied};
use lope_tune::{BarId, Melody, Moment, Pitch, SectionKind, Tune, Tuning, class_of, spell_note, write};

use super::{Outcome, output};
use crate::files::{self, Problem};
use crate::report::counted;

/// Turn a melody into a setting whose right hand never leaves its gait
///
/// Reads MusicXML, compressed or not, and standard MIDI files. Every note keeps its moment and its pitch, up
/// to the octave or the key that is chosen; every fall that sounds is a strike. Of all ways to play it the
/// easiest is taken, and where no tuning and capo are named, those that make it easiest. What was read, chosen
/// and left out is said on standard error. What is sung to the melody becomes words above its notes. The exit
/// status is 0, or 2 where there is no setting.
///
/// Of a tune file it takes the melodies that stand in it in pitches, under `melody NAME`, and gives the whole
/// file with a part below each, in the tune's own tuning and capo.
///
/// With --as-written a tablature, MusicXML or five lines of text, is read as it is, string for string, so that
/// `lope check` shows every trouble spot in it and `lope mend` repairs them.
#[derive(Args)]
pub struct Arrange {
    /// The melody: a file that ends in .musicxml, .xml, .mxl, .mid or .lope
    melody: PathBuf,
    /// The file to write the tune to, which must not be there yet; standard output where there is none
    #[arg(short, long, value_name = "TUNE")]
    out: Option<PathBuf>,
    /// The tuning, by name or from string 5 to string 1
    #[arg(long, value_parser = tuning)]
    tuning: Option<Tuning>,
    /// The fret of the capo, 0 for none
    #[arg(long, value_parser = clap::value_parser!(u8).range(0..=12))]
    capo: Option<u8>,
    /// The note to move the melody's home to: G, F#, Bb
    #[arg(long, value_parser = tonic)]
    key: Option<u8>,
    /// What sounds beside the melody
    #[arg(long, value_enum, default_value = "plain")]
    style: StyleName,
    /// What it asks of the player
    #[arg(long, value_enum, default_value = "player")]
    level: LevelName,
    /// Which of the offered tunings and capos to take, counted from the easiest
    #[arg(long, value_name = "NUMBER", default_value = "1", value_parser = clap::value_parser!(u8).range(1..=8))]
    choice: u8,
    /// The track of a MIDI file to read, counted from 1; the one most like a melody where none is named
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..))]
    track: Option<u16>,
    /// Read a tablature as it is written, and arrange nothing
    #[arg(long, conflicts_with_all = ["capo", "key", "style", "level", "choice", "track"])]
    as_written: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum StyleName {
    /// The drone on the rise after a note that lasts
    Plain,
    /// The same, and a brush on the falls that a long note leaves open
    DroneRich,
    /// The melody alone
    Melodic,
}

#[derive(Clone, Copy, ValueEnum)]
enum LevelName {
    /// All that two hands can do
    Player,
    /// No dropped thumb, and a hand that stays low on the neck
    Beginner,
}

impl StyleName {
    const fn style(self) -> Style {
        match self {
            Self::Plain => Style::Plain,
            Self::DroneRich => Style::DroneRich,
            Self::Melodic => Style::Melodic,
        }
    }
}

impl LevelName {
    const fn level(self) -> Level {
        match self {
            Self::Player => Level::Player,
            Self::Beginner => Level::Beginner,
        }
    }
}

impl Arrange {
    pub fn run(self) -> io::Result<Outcome> {
        match self.arrange() {
            Ok(()) => Ok(Outcome::Clean),
            Err(problem) => {
                output::complain_of(&[problem]);
                Ok(Outcome::Failed)
            }
        }
    }

    fn arrange(&self) -> Result<(), Problem> {
        if self.as_written {
            return self.put(&source::tablature(&self.melody, self.tuning)?);
        }
        let (style, level) = (self.style.style(), self.level.level());
        if self.melody.extension().is_some_and(|ending| ending == "lope") {
            if self.tuning.is_some() || self.capo.is_some() || self.key.is_some() {
                let text = "a tune has its own tuning, capo and key: leave out --tuning, --capo and --key";
                return Err(Problem::new(&self.melody, text));
            }
            return self.put_text(&in_tune::with_tab(&self.melody, style, level, self.choice)?);
        }
        let melody = source::melody(&self.melody, self.track.map(usize::from))?;
        let wishes = Wishes {
            tuning: self.tuning,
            capo: self.capo,
            tonic: self.key,
            style,
            level,
            ..Wishes::default()
        };
        let settings = arrange(&melody, &wishes)
            .map_err(|trouble| Problem::new(&self.melody, why_not(&melody, &wishes, trouble)))?;
        let chosen = settings.get(usize::from(self.choice) - 1).ok_or_else(|| {
            let offered = counted(settings.len(), "choice");
            Problem::new(&self.melody, format!("there is no choice {}: {offered} found", self.choice))
        })?;
        self.put(&chosen.tune)?;
        self.tell(&melody, &settings, chosen);
        Ok(())
    }

    /// Writes `tune` where it is asked for.
    fn put(&self, tune: &Tune) -> Result<(), Problem> {
        self.put_text(&tidied(&write(tune), &Settings::default()))
    }

    fn put_text(&self, text: &str) -> Result<(), Problem> {
        match &self.out {
            Some(path) if path.symlink_metadata().is_ok() => {
                Err(Problem::new(path, "is there already; nothing was written: choose another name"))
            }
            Some(path) => files::create(path, text),
            None => io::stdout()
                .write_all(text.as_bytes())
                .map_err(|error| Problem::system(Path::new("standard output"), "write it", &error)),
        }
    }

    /// Says what was `chosen` of `settings`, what it asks of the hands, and what else there is.
    fn tell(&self, melody: &Melody, settings: &[Setting], chosen: &Setting) {
        for (number, setting) in (1..).zip(settings) {
            let mark = if number == self.choice { "chosen" } else { "or" };
            output::complain(&format!("{mark} {number}: {}", says(setting)));
        }
        let is_kept = |note: usize| chosen.left_out.iter().all(|left| left.note != note);
        let graces = melody.notes.iter().enumerate().filter(|(at, note)| note.grace && is_kept(*at)).count();
        if graces > 0 {
            let graces = counted(graces, "grace note");
            output::complain(&format!("{graces} for the left hand, each just before its note"));
        }
        for left in &chosen.left_out {
            output::complain(&format!("{}: {}", place(melody, left.bar, left.onset), left.why));
        }
    }
}

/// A choice in a player's words.
fn says(setting: &Setting) -> String {
    let Setting { choice: Choice { tuning, capo, up }, key, tally, .. } = setting;
    let capo = if *capo == 0 { String::new() } else { format!(", capo {capo}") };
    let moved = match up {
        0 => String::new(),
        -12 => ", an octave down".to_owned(),
        12 => ", an octave up".to_owned(),
        _ => format!(", moved by {up} semitones"),
    };
    let Tally { strikes, drones, drops, slurs, shifts, highest } = *tally;
    format!(
        "{tuning}{capo}, in {} {}{moved}: {}, {} on the drone, {} and {}; the left hand moves {}, up to fret {highest}",
        Pitch(key.tonic).letter(),
        key.mode.name(),
        counted(strikes, "strike"),
        drones,
        counted(drops, "dropped thumb"),
        counted(slurs, "slur"),
        counted(shifts, "time"),
    )
}

fn why_not(melody: &Melody, wishes: &Wishes, trouble: Trouble) -> String {
    match trouble {
        Trouble::Empty => "there is no note in it".to_owned(),
        Trouble::OffTheNeck => {
            format!("not all of its notes are on the neck: {}", what_else(melody, wishes))
        }
        Trouble::NoWay { bar, onset } => {
            let place = place(melody, bar, onset);
            format!("no hand gets to the note at {place} in time: {}", what_else(melody, wishes))
        }
        Trouble::NotSo { bar, onset, note, why } => {
            let (place, note) = (place(melody, bar, onset), spell_note(&note));
            format!("the note at {place} cannot be played as `{note}`: {why}")
        }
    }
}

/// What there is a setting for where `wishes` have none.
fn what_else(melody: &Melody, wishes: &Wishes) -> String {
    let keys: Vec<&str> = tonics(melody, wishes).into_iter().map(|tonic| Pitch(tonic).letter()).collect();
    let is_open = wishes.tuning.is_none() && wishes.capo.is_none() && wishes.level == Level::Player;
    match (keys.as_slice(), is_open) {
        ([], true) => {
            "there is none in any key; move the notes around it by an octave, or leave some out".to_owned()
        }
        ([], false) => {
            "nor is there another key; allow other tunings and capos, or a higher level".to_owned()
        }
        (keys, true) => format!("name a key that has a setting by --key: {}", keys.join(", ")),
        (keys, false) => format!(
            "allow other tunings and capos, or a higher level, or name a key that has a setting by --key: {}",
            keys.join(", ")
        ),
    }
}

/// A place as a player says it: part, bar, count.
fn place(melody: &Melody, bar: BarId, onset: Moment) -> String {
    let tune = &melody.tune;
    let section = tune.sections.iter().find(|section| section.bars.contains(&bar.0));
    let written = &tune.bars[bar.index()];
    let count = tune.frame(written).meter.count(onset + written.lead);
    let (name, number) = section.map_or((String::new(), bar.0 + 1), |section| {
        let before = u32::from(!section.has_pickup());
        let of = match section.kind {
            SectionKind::Ending { .. } => "an ending of part",
            _ => "part",
        };
        (format!("{of} {}, ", section.name), bar.0 - section.bars.start + before)
    });
    if number == 0 {
        format!("{name}pickup, count {count}")
    } else {
        format!("{name}bar {number}, count {count}")
    }
}

fn tuning(text: &str) -> Result<Tuning, String> {
    Tuning::parse(text)
        .ok_or_else(|| "is no tuning: name five notes from string 5 to string 1, such as gDGBD".to_owned())
}

/// The pitch class of a note's name.
fn tonic(text: &str) -> Result<u8, String> {
    let named = text.get(..1).map(|letter| letter.to_ascii_uppercase() + &text[1..]);
    match named.as_deref().and_then(class_of) {
        Some((class, "")) => Ok(class),
        _ => Err("is no note: write a letter from A to G, with # or b".to_owned()),
    }
}
