//! Tunes made to measure: any size, the same for the same seed, all that the notation has in them.
//!
//! A clean tune keeps the gait, fills its bars, stays within reach, and has parts of eight bars, so that
//! no rule has anything to say about it.

mod dice;
mod group;
mod trouble;

use std::fmt::Write;

pub use dice::Dice;
use group::Hands;

/// How much a tune has in it that a rule finds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// Nothing.
    None,
    /// One note that breaks the gait, in the first part.
    One,
    /// Something in about every fourth group.
    Often,
}

/// A file of tunes of about 2 KB each, `bytes` long or a tune more.
pub fn file(seed: u64, bytes: usize, trouble: Trouble) -> String {
    let mut text = String::new();
    let mut number = seed;
    while text.len() < bytes {
        let more = tune(number, (bytes - text.len()).min(2000), trouble);
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(&more);
        number = number.wrapping_add(1);
    }
    text
}

/// A tune `bytes` long or a part more; at least one part.
pub fn tune(seed: u64, bytes: usize, trouble: Trouble) -> String {
    let mut dice = Dice::new(seed);
    let kind = dice.pick(&KINDS);
    let mut text = header(&mut dice, &kind, seed);
    let mut writer = Writer {
        hands: Hands::new(&mut dice),
        pickup: dice.once_in(3),
        phrase: dice.once_in(3),
        dice,
        kind,
        trouble,
    };
    let mut part = 0;
    while part == 0 || text.len() < bytes {
        writer.part(&mut text, part);
        part += 1;
    }
    if writer.phrase {
        text.push_str("\nphrase lick\n");
        writer.bars(&mut text, 2, Close::Open);
    }
    text
}

/// A kind of tune and the time it is in.
#[derive(Clone, Copy, Debug)]
struct Kind {
    name: &'static str,
    meter: &'static str,
    /// Groups in a bar.
    groups: usize,
    /// Slots in a group: three in the gait `x.x`, two in `x.`.
    slots: usize,
    /// Whether a triplet in braces is slow enough to be struck on its first and third note.
    runs: bool,
}

const KINDS: [Kind; 7] = [
    Kind { name: "jig", meter: "6/8", groups: 2, slots: 3, runs: false },
    Kind { name: "slip jig", meter: "9/8", groups: 3, slots: 3, runs: false },
    Kind { name: "slide", meter: "12/8", groups: 4, slots: 3, runs: false },
    Kind { name: "reel", meter: "4/4", groups: 4, slots: 2, runs: false },
    Kind { name: "slow tune", meter: "4/4", groups: 4, slots: 2, runs: true },
    Kind { name: "waltz", meter: "3/4", groups: 3, slots: 2, runs: true },
    Kind { name: "polka", meter: "2/4", groups: 4, slots: 2, runs: false },
];

const TUNINGS: [&str; 7] = ["gDGBD", "open G", "gDGCD", "sawmill", "gCGCD", "aDADE", "f#DF#AD"];
const FIRST: [&str; 6] = ["Grey", "Windy", "Copper", "Quiet", "Crooked", "Seven Mile"];
const SECOND: [&str; 6] = ["Landing", "Ferry", "Lantern", "Slipway", "Kettle", "Breakwater"];

fn header(dice: &mut Dice, kind: &Kind, seed: u64) -> String {
    let Kind { name, meter, .. } = kind;
    let mut text = String::new();
    if dice.once_in(4) {
        text.push_str("# Written down from memory.\n");
    }
    let title = (dice.pick(&FIRST), dice.pick(&SECOND));
    let _ = writeln!(text, "tune: The {} {}, number {seed}", title.0, title.1);
    let _ = writeln!(text, "kind: {name}\nmeter: {meter}\ntuning: {}", dice.pick(&TUNINGS));
    let _ = writeln!(text, "tempo: {}", 80 + 5 * dice.below(6));
    if dice.once_in(4) {
        let _ = writeln!(text, "tags: session, {}", dice.pick(&["slow", "steady", "for two"]));
    }
    text
}

/// How a row of bars ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Close {
    /// With a whole bar.
    Open,
    /// With a bar that gives the pickup back, where the tune has one.
    Part,
}

struct Writer {
    hands: Hands,
    dice: Dice,
    kind: Kind,
    pickup: bool,
    phrase: bool,
    trouble: Trouble,
}

impl Writer {
    /// A part of eight bars, played twice.
    fn part(&mut self, text: &mut String, number: usize) {
        let endings = self.dice.once_in(3);
        let _ = writeln!(text, "\npart {}{}", name(number), if endings { "" } else { " x2" });
        if self.pickup {
            let pickup = self.pickup();
            let _ = write!(text, "{pickup} ");
        }
        let called = self.phrase && number == 0;
        if called {
            text.push_str("| @lick |\n");
        }
        let bars = if called { 6 } else { 8 };
        if !endings {
            return self.bars(text, bars, Close::Part);
        }
        self.bars(text, bars - 2, Close::Open);
        for ending in 1..=2 {
            let _ = writeln!(text, "  ending {ending}");
            self.bars(text, 2, Close::Part);
        }
    }

    /// `count` bars, two on a line, as players write them who want a page to be read at a glance.
    fn bars(&mut self, text: &mut String, count: usize, close: Close) {
        for bar in 0..count {
            if bar % 2 == 0 {
                text.push('|');
            }
            let last = bar + 1 == count;
            let again = bar % 2 != 0 && !last && self.dice.once_in(12);
            let slots =
                if again { "%".to_owned() } else { self.bar(last && close == Close::Part && self.pickup) };
            let _ = write!(text, " {slots} |");
            if last || bar % 2 == 1 {
                text.push_str(if self.dice.once_in(24) { " # steady here\n" } else { "\n" });
            }
        }
    }

    /// The slots of a bar; `short` by the pickup when it is the last of a part.
    fn bar(&mut self, short: bool) -> String {
        let Kind { groups, slots, .. } = self.kind;
        let mut bar = Vec::new();
        while bar.len() < groups {
            let last = bar.len() + 1 == groups;
            match (short && last, slots) {
                (true, 3) => bar.push(self.hands.pair(&mut self.dice)),
                (true, _) => break,
                (false, _) => bar.extend(self.group(groups - bar.len())),
            }
        }
        let above = match self.dice.below(16) {
            0 => self.dice.pick(&["<G> ", "<C#m> ", "\"softly\" "]),
            _ => "",
        };
        format!("{above}{}", bar.join("  "))
    }

    /// The next group, or two at once, where `left` are to come.
    fn group(&mut self, left: usize) -> Vec<String> {
        let due = match self.trouble {
            Trouble::None => false,
            Trouble::One => true,
            Trouble::Often => self.dice.once_in(4),
        };
        if due && self.trouble == Trouble::Often {
            return vec![trouble::any(&mut self.hands, &mut self.dice, self.kind.slots)];
        }
        if due && left >= 2 {
            self.trouble = Trouble::None;
            return trouble::one(&mut self.hands, &mut self.dice, self.kind.slots);
        }
        let run = self.kind.runs && self.dice.once_in(5);
        vec![match (self.kind.slots, run) {
            (3, _) => self.hands.three(&mut self.dice),
            (_, true) => format!("{{{}}}/2", self.hands.three_notes(&mut self.dice)),
            (_, false) => self.hands.pair(&mut self.dice),
        }]
    }

    /// The last slot of a bar in threes, the last pair of one in pairs.
    fn pickup(&mut self) -> String {
        match self.kind.slots {
            3 => self.hands.strike(&mut self.dice).to_string(),
            _ => self.hands.pair(&mut self.dice),
        }
    }
}

/// `A` to `Z`, then `A1` and on.
fn name(number: usize) -> String {
    let letter = char::from(b'A' + (number % 26) as u8);
    match number / 26 {
        0 => letter.to_string(),
        round => format!("{letter}{round}"),
    }
}
