use crate::Tuning;

/// What a tune says of itself above its first part.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Header {
    /// `tune`: the title.
    pub title: String,
    /// `by`
    pub by: Option<String>,
    /// `source`
    pub source: Option<String>,
    /// `rights`
    pub rights: Option<String>,
    /// `kind`: jig, reel, waltz…
    pub kind: Option<String>,
    /// `tuning`
    pub tuning: Tuning,
    /// `capo`: the fret it sits behind; 0 for none.
    pub capo: u8,
    /// `order`: part names as they are played; empty when each part's own count says it.
    pub order: Vec<String>,
    /// `tags`
    pub tags: Vec<String>,
    /// `note`
    pub note: Option<String>,
}

/// What a book says for tunes that leave a field out: the text of each field.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Defaults(pub Vec<(String, String)>);
