use crate::{Span, Token, TokenKind};

/// A kind of phrase in the grammar; `NOTATION.md` has a production for each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(u8)]
pub enum NodeKind {
    /// The whole text of one tune.
    Tune,
    /// `name: text`
    Field,
    /// A part: its heading, bars and endings.
    Part,
    /// A phrase: its heading and bars.
    Phrase,
    /// An ending: its heading and bars.
    Ending,
    /// A melody: its heading, bars and endings.
    Melody,
    /// Music before the first part or phrase: kept, but it belongs nowhere.
    Stray,
    /// The line `part A x2`, `phrase lick`, `ending 1` or `melody A`.
    Heading,
    /// `|`
    BarLine,
    /// The slots between two bar lines, or before the first.
    Bar,
    /// A note with its marks.
    Note,
    /// `[3:0 2:1 1:2]`
    Brush,
    /// `{a b c}/2`
    Brace,
    /// `d4`
    Pitch,
    /// `-`
    Hold,
    /// `_`
    Silence,
    /// `%`
    BarAgain,
    /// `@name`
    PhraseCall,
    /// `"text"`
    Words,
    /// `<G7>`
    Chord,
    /// Text that is not notation.
    Error,
}

/// A node's number: its place in the tree's preorder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeId(pub u32);

/// A node: a kind over a run of tokens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Node {
    /// What it is.
    pub kind: NodeKind,
    /// Its first token.
    pub first: u32,
    /// The token after its last.
    pub last: u32,
    /// The node after this one's last descendant, in preorder.
    pub after: u32,
}

/// What is wrong with text that is not notation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FaultKind {
    /// A word that is no token.
    Unknown,
    /// `1:` without a fret, or `1` without a string.
    NoFret,
    /// `h`, `p` or `s` without a fret.
    SlurWithoutFret,
    /// `{` without `}` before the bar line.
    OpenBrace,
    /// `[` without `]` before the bar line.
    OpenBrush,
    /// `}` or `]` that closes nothing.
    StrayClose,
    /// `{}` or `[]`
    Empty,
    /// `"` without its pair on the line.
    OpenWords,
    /// `<` without `>` on the line.
    OpenChord,
    /// A brush inside a brush, a brace in a brush, or a slot that does not sound in a brush.
    NotInBrush,
    /// Braces deeper than anyone can play.
    TooDeep,
    /// A mark or `/n` with nothing before it to belong to.
    StrayMark,
    /// `part`, `phrase`, `ending` or `melody` without what must follow.
    BadHeading,
    /// An ending before any part.
    EndingOutsidePart,
    /// Music before the first part or phrase.
    MusicOutsidePart,
    /// `%` or `@name` beside other slots in a bar.
    NotAlone,
}

/// A place where the text is not notation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What is wrong.
    pub kind: FaultKind,
    /// Where.
    pub span: Span,
}

/// The tree of one tune's text: nodes in preorder over the tokens.
#[derive(Clone, Debug, Default)]
pub struct Tree {
    pub(crate) tokens: Vec<Token>,
    pub(crate) nodes: Vec<Node>,
    pub(crate) faults: Vec<Fault>,
}

impl Tree {
    /// Every token in the order of the text; together they are the text.
    pub fn tokens(&self) -> &[Token] {
        &self.tokens
    }

    /// Every node in preorder: the first is the tune.
    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// What is not notation, in the order of the text.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// The node numbered `id`.
    #[inline]
    pub fn node(&self, id: NodeId) -> Node {
        self.nodes[id.0 as usize]
    }

    /// The tune's own node.
    pub const fn root(&self) -> NodeId {
        NodeId(0)
    }

    /// The nodes directly below `id`, in order.
    pub fn children(&self, id: NodeId) -> impl Iterator<Item = NodeId> + '_ {
        let after = self.node(id).after;
        let mut next = id.0 + 1;
        std::iter::from_fn(move || {
            (next < after).then(|| {
                let child = NodeId(next);
                next = self.node(child).after;
                child
            })
        })
    }

    /// The tokens of `id` and of all below it.
    #[inline]
    pub fn tokens_of(&self, id: NodeId) -> &[Token] {
        let node = self.node(id);
        &self.tokens[node.first as usize..node.last as usize]
    }

    /// The first token of the given kind in `id`.
    pub fn token_of(&self, id: NodeId, kind: TokenKind) -> Option<Token> {
        self.tokens_of(id).iter().copied().find(|token| token.kind == kind)
    }

    /// The bytes of `id`, from its first token to its last.
    #[inline]
    pub fn span(&self, id: NodeId) -> Span {
        match self.tokens_of(id) {
            [] => Span::empty(0),
            [first, .., last] => first.span.cover(last.span),
            [only] => only.span,
        }
    }
}
