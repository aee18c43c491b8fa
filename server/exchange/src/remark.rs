use std::collections::HashMap;
use std::fmt;

/// Something that was changed or left out in reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// Where, where it is about one place.
    pub place: Option<Place>,
    /// What was done and why, as a sentence without a full stop.
    pub text: String,
}

impl Remark {
    /// One about the whole file.
    pub fn of_all(text: impl Into<String>) -> Self {
        Self { place: None, text: text.into() }
    }
}

/// `remarks`, each text once: at the first of its places, with how many more there are.
pub fn gathered(remarks: Vec<Remark>) -> Vec<Remark> {
    let mut kept: Vec<(Remark, usize)> = Vec::new();
    let mut known: HashMap<String, usize> = HashMap::new();
    for remark in remarks {
        match known.get(&remark.text) {
            Some(at) => kept[*at].1 += usize::from(remark.place.is_some()),
            None => {
                known.insert(remark.text.clone(), kept.len());
                kept.push((remark, 0));
            }
        }
    }
    let told = |(remark, more): (Remark, usize)| match more {
        0 => remark,
        _ => Remark { text: format!("{} (and in {})", remark.text, counted(more, "more place")), ..remark },
    };
    kept.into_iter().map(told).collect()
}

/// So many of `what`: `1 note`, `2 notes`.
pub fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

/// A place in somebody else's file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The measure, as the file numbers it.
    pub measure: String,
    /// The line of the file, from 1.
    pub line: u32,
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.place {
            Some(Place { measure, line }) => write!(f, "line {line}, measure {measure}: {}", self.text),
            None => f.write_str(&self.text),
        }
    }
}

/// Why a file cannot be read at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadError {
    /// The line of the file, from 1, where it is about one.
    pub line: Option<u32>,
    /// What is wrong and what to do.
    pub text: String,
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            Some(line) => write!(f, "line {line}: {}", self.text),
            None => f.write_str(&self.text),
        }
    }
}

impl std::error::Error for ReadError {}
