//! What `lope.toml` may hold: read by the reader and turned into the schema, so that they agree.

use std::ops::RangeInclusive;

/// A key of a table, with what the schema says about it.
pub struct Key {
    /// The key.
    pub name: &'static str,
    /// What it is for.
    pub about: &'static str,
}

const fn key(name: &'static str, about: &'static str) -> Key {
    Key { name, about }
}

pub const LEAVE_OUT: &str = "leave-out";
pub const RULES: &str = "rules";
pub const NECK: &str = "neck";
pub const DEFAULTS: &str = "defaults";
pub const PATHS: &str = "paths";
pub const MATCH: &str = "match";
pub const FRETS: &str = "frets";
pub const SCALE: &str = "scale-mm";
pub const REACH: &str = "reach-mm";

/// The keys of the file.
pub const BOOK: &[Key] = &[
    key(
        LEAVE_OUT,
        "Files and folders that are not part of the book, each written like a line of a .gitignore file.",
    ),
    key(RULES, "How much each rule matters in this book."),
    key(NECK, "The neck the tunes are played on."),
    key(DEFAULTS, "What stands for a field that a tune leaves out."),
    key(
        PATHS,
        "Rules that matter more or less in a part of the book; of several that match, the last one counts.",
    ),
];

/// The keys of `[neck]`.
pub const NECK_KEYS: &[Key] = &[
    key(FRETS, "How many frets it has."),
    key(SCALE, "From nut to bridge, in millimetres."),
    key(REACH, "The widest comfortable reach between the lowest and the highest held fret, in millimetres."),
];

/// The keys of `[[paths]]`.
pub const PATHS_KEYS: &[Key] = &[
    key(
        MATCH,
        "Files and folders, counted from the book's root and written like lines of a .gitignore file.",
    ),
    key(RULES, "How much each rule matters there."),
];

/// How many frets a neck can have. A bare neck has one; 36 is three octaves, more than any banjo has.
pub const FRETS_RANGE: RangeInclusive<i64> = 1..=36;

/// How long a scale can be, in millimetres: from a toy to twice the usual 667.
pub const SCALE_RANGE: RangeInclusive<f64> = 200.0..=1400.0;

/// How wide a reach can be, in millimetres.
pub const REACH_RANGE: RangeInclusive<f64> = 10.0..=400.0;

/// What a rule's level can be set to.
pub const LEVELS: [&str; 4] = ["error", "warning", "hint", "off"];

/// The fields that a book can have a default for: all but those that only one tune can have.
pub fn fields() -> impl Iterator<Item = &'static str> + Clone {
    lope_tune::FIELDS.into_iter().filter(|field| !matches!(*field, "tune" | "order"))
}
