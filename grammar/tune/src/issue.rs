use lope_syntax::Span;

/// Something the text says that does not make music, with where it says it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Issue {
    /// What is wrong.
    pub kind: IssueKind,
    /// Where.
    pub span: Span,
}

/// What can be wrong with a tune's text that is notation all the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum IssueKind {
    /// A field that must be there is not.
    MissingField(&'static str),
    /// A field nobody knows, with the nearest name that is known.
    UnknownField {
        /// The name as written.
        name: String,
        /// The nearest known one, where one is near.
        nearest: Option<&'static str>,
    },
    /// A field's or heading's value that means nothing; `expected` says what would.
    BadValue {
        /// The field's name, or `part`, `phrase`, `ending`.
        field: String,
        /// The value as written.
        value: String,
        /// What is expected, in words, with an example.
        expected: String,
    },
    /// A field that cannot change inside a part.
    Misplaced(String),
    /// A call of a phrase that is not there, with the nearest name that is.
    UnknownPhrase {
        /// The name as called.
        name: String,
        /// The nearest known one, where one is near.
        nearest: Option<String>,
    },
    /// A phrase nothing calls.
    UnusedPhrase(String),
    /// A phrase that calls itself, straight or by way of others: the names along the circle.
    CirclingPhrase(Vec<String>),
    /// A hold with nothing sounding.
    NothingToHold,
    /// `%` with no bar before it.
    NothingToRepeat,
    /// A pitch where tab belongs: in a part, ending or phrase.
    PitchInTab,
    /// A brush or a call of a phrase in a melody.
    TabInMelody,
    /// A slur in a melody that names no string, where the note before it names none either.
    SlurOfPitch,
    /// A note of tab in a melody that is on no neck.
    NoSuchPlace,
    /// A pitch that is beyond any instrument's.
    NoSuchPitch,
    /// Slots too short to be told apart from each other exactly.
    TooFine,
}
