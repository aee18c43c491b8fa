//! What a sheet is once it is laid out: pages of positioned items.
//!
//! Every writer takes these and nothing else, so that all of them show the same. Lengths are points, 1/72
//! of an inch; x grows to the right and y downward from the top left corner of the page.

/// A tune laid out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// The tune's title.
    pub title: String,
    /// The tune in a sentence or two, for who does not see the sheet.
    pub about: String,
    /// The pages, one at least.
    pub pages: Vec<Page>,
    /// For each bar in the order of playing ([`lope_tune::Played::bars`]), where it is drawn: the number of
    /// its [`Part::Bar`]. None for bars past a fault that are not drawn.
    pub played: Vec<Option<u32>>,
}

/// One page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Page {
    /// How wide it is.
    pub width: f32,
    /// How high it is.
    pub height: f32,
    /// What stands on it, in the order in which it is drawn and read.
    pub items: Vec<Item>,
}

/// Something on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// Items that belong together.
    Group(Group),
    /// A straight line.
    Line(Line),
    /// An outline.
    Shape(Shape),
    /// Words, numbers or a sign.
    Text(Text),
}

/// Items that belong together, which a page can light and a screen reader can name.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// What they are.
    pub part: Part,
    /// What they say, read aloud; empty where the items speak for themselves.
    pub reading: String,
    /// The items.
    pub items: Vec<Item>,
}

/// What a group is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Title, tuning, and what else stands above the music.
    Heading,
    /// A row of bars.
    System,
    /// A bar: the place it is drawn, counted from 0 through the sheet. A bar of a phrase is drawn wherever
    /// the phrase is called.
    Bar(u32),
    /// An event of the bar around it: its number in [`lope_tune::Tune::events`], its stroke included.
    Event(u32),
    /// The count below a moment of the bar around it: how many have gone before in that bar.
    Count(u32),
    /// A finding beside the bar it is about: its number among those that were asked for.
    Finding(u32),
    /// The same on every page: page number, title.
    Footing,
}

/// A place on a page.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// From the left.
    pub x: f32,
    /// From the top.
    pub y: f32,
}

/// A straight line with blunt ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Where it starts.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// How thick it is.
    pub width: f32,
    /// Its colour.
    pub ink: Ink,
}

/// An outline, filled or drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// The outline, which starts with a [`Step::Move`].
    pub steps: Vec<Step>,
    /// How it is shown.
    pub pen: Pen,
    /// Its colour.
    pub ink: Ink,
}

/// How an outline is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pen {
    /// Its inside, by the nonzero rule.
    Fill,
    /// The outline itself, this thick, with round ends and joins.
    Stroke(f32),
}

/// A piece of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// Goes to a point without drawing.
    Move(Point),
    /// A straight line to a point.
    Line(Point),
    /// A cubic Bézier curve: two control points and where it ends.
    Curve(Point, Point, Point),
    /// Back to the last point that was moved to.
    Close,
}

/// Words in one line.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where their baseline is: its start, middle or end, as the anchor says.
    pub at: Point,
    /// Which point of the baseline that is.
    pub anchor: Anchor,
    /// Which of the sheet's faces.
    pub face: Face,
    /// The size of the face.
    pub size: f32,
    /// The colour.
    pub ink: Ink,
    /// What is written, in any script.
    pub words: String,
}

/// Which point of a line of words is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its start.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A face of the sheet's font.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Face {
    /// Words and frets.
    Regular,
    /// Titles and chord symbols.
    Bold,
    /// What players are told.
    Italic,
}

/// What a colour means. Nothing is said by colour alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ink {
    /// Music and words.
    Text,
    /// The lines that music stands on.
    Staff,
    /// What may be overlooked: counts, bar numbers.
    Faint,
    /// A fall of the hand.
    Fall,
    /// The thumb.
    Thumb,
    /// The left hand.
    Left,
    /// A finding.
    Finding,
    /// Behind a fret, so that its string does not run through it.
    Paper,
}
