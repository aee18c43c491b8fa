use logos::Logos;

use crate::Span;

/// A kind of word in the notation.
///
/// The patterns are those of a music line; the words of field and heading lines are told apart by where
/// they stand, so they have none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Logos)]
#[repr(u8)]
pub enum TokenKind {
    /// Blanks and tabs, and a byte order mark at the start.
    #[regex(r"[ \t]+")]
    Blank,
    /// `\n`, `\r\n` or `\r`.
    #[regex(r"\r\n|\n|\r")]
    LineBreak,
    /// `#` to the end of the line.
    #[regex(r"#[^\r\n]*", allow_greedy = true)]
    Comment,
    /// The name before a field's colon.
    FieldName,
    /// The colon of a field.
    Colon,
    /// What a field says, without the blanks around it.
    FieldText,
    /// `part`
    PartWord,
    /// `phrase`
    PhraseWord,
    /// `melody`
    MelodyWord,
    /// `ending`
    EndingWord,
    /// The name in a heading.
    Name,
    /// `x2`: how many times a part is played.
    Times,
    /// `1,2`: the passes an ending belongs to.
    Passes,
    /// `|`
    #[token("|")]
    BarLine,
    /// `1:2`
    #[regex("[0-9]+:[0-9]+")]
    Note,
    /// `t` or `t2:1`
    #[regex("t([0-9]+:[0-9]+)?")]
    Thumb,
    /// `h4` or `h2:3`
    #[regex("h([0-9]+:)?[0-9]+")]
    Hammer,
    /// `p0` or `p2:0`
    #[regex("p([0-9]+:)?[0-9]+")]
    Pull,
    /// `s5` or `s2:5`
    #[regex("s([0-9]+:)?[0-9]+")]
    Slide,
    /// `d4` or `f#4`: a pitch of a melody.
    #[regex("[A-Ga-g][#b]?[0-9]+")]
    Pitch,
    /// `-`
    #[token("-")]
    Hold,
    /// `_`
    #[token("_")]
    Silence,
    /// `%`: the whole bar again.
    #[token("%")]
    BarAgain,
    /// `@name`
    #[regex(r##"@[^ \t\r\n|{}\[\]"<>@#%]+"##)]
    PhraseCall,
    /// `{`
    #[token("{")]
    BraceOpen,
    /// `}`
    #[token("}")]
    BraceClose,
    /// `/2` after a brace
    #[regex("/[0-9]+")]
    Over,
    /// `[`
    #[token("[")]
    BrushOpen,
    /// `]`
    #[token("]")]
    BrushClose,
    /// `"text"`
    #[regex(r#""[^"\r\n]*""#)]
    Words,
    /// `<G7>`
    #[regex(r"<[^<>|\r\n]*>")]
    Chord,
    /// `!`
    #[token("!")]
    Accent,
    /// `~`
    #[token("~")]
    Vibrato,
    /// `^`
    #[token("^")]
    Choke,
    /// `/i`, `/m`, `/r` or `/p`
    #[regex("/[imrp]")]
    Finger,
    /// Anything else. The patterns keep a slip in one piece: words, a note or slur without its fret, and
    /// quotes or a chord that do not close; and a note's letter without its octave.
    #[regex("[A-Za-z][A-Za-z]+")]
    #[regex("[0-9]+:?")]
    #[regex("t[0-9]+:?")]
    #[regex("[hps]([0-9]+:)?")]
    #[regex(r##"[A-Ga-g]([^A-Za-z0-9 \t\r\n|{}\[\]"<#][^ \t\r\n|{}\[\]"<#]*)?"##)]
    #[regex(r#""[^"\r\n]*"#)]
    #[regex(r"<[^<>|\r\n]*")]
    Unknown,
}

impl TokenKind {
    /// Whether it is a blank, a line break or a comment.
    pub const fn is_trivia(self) -> bool {
        matches!(self, Self::Blank | Self::LineBreak | Self::Comment)
    }

    /// Whether it sounds a string: a strike, thumb or slur.
    pub const fn is_note(self) -> bool {
        matches!(self, Self::Note | Self::Thumb | Self::Hammer | Self::Pull | Self::Slide)
    }

    /// Whether it starts a part, a phrase, an ending or a melody.
    pub const fn is_heading(self) -> bool {
        matches!(self, Self::PartWord | Self::PhraseWord | Self::EndingWord | Self::MelodyWord)
    }

    /// Whether it is a mark written after a note's fret.
    pub const fn is_mark(self) -> bool {
        matches!(self, Self::Accent | Self::Vibrato | Self::Choke | Self::Finger)
    }
}

/// A word of the text and where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    /// What it is.
    pub kind: TokenKind,
    /// Its bytes; the next token starts where it ends.
    pub span: Span,
}
