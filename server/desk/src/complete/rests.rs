//! What could stand in a bar beside single notes: holds, silences, brushes, the bar line, the bar again.

use lope_tune::{How, Stroke};

use super::likely::Token;
use super::slots::{Candidate, Chooser, bonus};

impl Chooser<'_> {
    /// What sounds ringing on; nothing where nothing sounds.
    pub fn hold(&self) -> Option<Candidate> {
        let wake = &self.standing.wake;
        wake.sounding.iter().flatten().next()?;
        let base = if self.standing.stroke == Stroke::Fall { 14 } else { 5 };
        let cost = base - bonus(self.ways.count(Token::Hold));
        let music = self.standing.music;
        let rings =
            self.standing.before.map_or("what sounds", |event| music.event_span(event).of(music.text));
        let detail = self.rests(&format!("{rings} rings on"));
        Some(Candidate { text: "-".to_owned(), detail, cost, topic: "hold" })
    }

    /// Nothing sounding.
    pub fn silence(&self) -> Candidate {
        Candidate { text: "_".to_owned(), detail: self.rests("nothing sounds"), cost: 70, topic: "silence" }
    }

    fn rests(&self, what: &str) -> String {
        match self.standing.stroke {
            Stroke::Fall => format!("{what}; the hand falls on air"),
            _ => what.to_owned(),
        }
    }

    /// The long strings from 3 to 1 struck together: the tones of the chord in force nearest the nut, or open.
    pub fn brush(&self) -> Option<Candidate> {
        let chord = self.standing.chord.as_ref();
        let tone = |string: u8| {
            (0..=4).find(|fret| {
                let pitch = self.pitch(string, *fret);
                pitch.is_some_and(|pitch| chord.is_none_or(|chord| chord.has(pitch)))
                    && self.standing.reaches(*fret)
            })
        };
        let notes: Vec<(u8, u8)> = (1..=3).rev().filter_map(|string| Some((string, tone(string)?))).collect();
        let pitches: Vec<String> = notes
            .iter()
            .filter_map(|(string, fret)| self.pitch(*string, *fret))
            .map(|pitch| self.key().pitch_name(pitch))
            .collect();
        let notes: Vec<String> = notes.iter().map(|(string, fret)| format!("{string}:{fret}")).collect();
        let text = format!("[{}]", notes.join(" "));
        let detail = format!("{}, brush {}", pitches.join(" "), self.does(How::Strike));
        (notes.len() > 1).then(|| Candidate { text, detail, cost: self.brush_cost(), topic: "brush" })
    }

    /// In straight time the second of two beats is where a brush belongs.
    fn brush_cost(&self) -> i32 {
        let Some(place) = self.standing.place else { return 30 };
        let group = self.standing.frame.group(place);
        let on_the_beat = group.start == place && group.number % 2 == 1;
        if self.standing.frame.meter.is_compound() || !on_the_beat { 30 } else { 3 }
    }

    /// The whole bar before once more; nothing where there is none, or this one has begun.
    pub fn again(&self) -> Option<Candidate> {
        let detail = "the whole bar before again".to_owned();
        let fits = self.standing.opens_bar && self.standing.has_bar_before;
        fits.then(|| Candidate { text: "%".to_owned(), detail, cost: 40, topic: "again" })
    }

    /// The bar line, where the bar has all its time.
    pub fn bar_line(&self) -> Option<Candidate> {
        let detail = format!("the bar is full: {}", self.standing.frame.meter);
        self.standing.is_full().then(|| Candidate {
            text: "|".to_owned(),
            detail,
            cost: i32::MIN,
            topic: "bar line",
        })
    }
}
