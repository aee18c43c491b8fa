use crate::Span;

/// A kind of word in the notation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(u8)]
pub enum TokenKind {
    /// Blanks and tabs, and a byte order mark at the start.
    Blank,
    /// `\n`, `\r\n` or `\r`.
    LineBreak,
    /// `#` to the end of the line.
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
    /// `ending`
    EndingWord,
    /// The name in a heading.
    Name,
    /// `x2`: how many times a part is played.
    Times,
    /// `1,2`: the passes an ending belongs to.
    Passes,
    /// `|`
    BarLine,
    /// `1:2`
    Note,
    /// `t` or `t2:1`
    Thumb,
    /// `h4` or `h2:3`
    Hammer,
    /// `p0` or `p2:0`
    Pull,
    /// `s5` or `s2:5`
    Slide,
    /// `-`
    Hold,
    /// `_`
    Silence,
    /// `%`: the whole bar again.
    BarAgain,
    /// `@name`
    PhraseCall,
    /// `{`
    BraceOpen,
    /// `}`
    BraceClose,
    /// `/2` after a brace
    Over,
    /// `[`
    BrushOpen,
    /// `]`
    BrushClose,
    /// `"text"`
    Words,
    /// `<G7>`
    Chord,
    /// `!`
    Accent,
    /// `~`
    Vibrato,
    /// `^`
    Choke,
    /// `/i`, `/m`, `/r` or `/p`
    Finger,
    /// Anything else.
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
