//! What can stand in music: which tokens are offered, and in which order.

use lope_rules::Music;
use lope_syntax::Span;
use lope_tune::{How, Stroke};

use super::names::calls;
use super::slots::{Candidate, Chooser};
use super::standing::Standing;
use super::{Completion, CompletionKind};
use crate::topic::{Subject, Topic};

/// The most that are offered: nobody reads further.
const MOST: usize = 40;

/// What can stand at `word`, of which `typed` stands before the cursor.
pub fn items(music: &Music, word: Span, typed: &str) -> Vec<Completion> {
    let standing = Standing::at(music, word);
    let chooser = Chooser::new(&standing);
    let mut items = match typed.bytes().next() {
        Some(b'@') => calls(music, word.start),
        Some(b'<') => chords(&chooser),
        Some(letter) => ranked(by_letter(&chooser, letter)),
        None => {
            let mut items = ranked(next(&chooser));
            if standing.opens_bar {
                items.extend(calls(music, word.start));
            }
            items
        }
    };
    items.truncate(MOST);
    let after = Span::new(word.end, music.text.len() as u32).of(music.text);
    if word.is_empty()
        && after.starts_with(|next: char| next.is_ascii_alphanumeric() || "[{@<".contains(next))
    {
        items.iter_mut().for_each(|item| item.text.push(' '));
    }
    items
}

/// What is likely next, whatever letter it begins with: nothing that goes against the gait.
fn next(chooser: &Chooser) -> Vec<Candidate> {
    if chooser.standing.brush.is_some() {
        return chooser.strikes(None);
    }
    let strokes = match chooser.standing.stroke {
        Stroke::Fall => chooser.strikes(None).into_iter().chain(chooser.brush()).collect(),
        Stroke::Rise => chooser.thumbs(false).into_iter().chain(slurs(chooser)).collect(),
        Stroke::Between => slurs(chooser),
    };
    let rests = chooser.hold().into_iter().chain([chooser.silence()]);
    let bars = chooser.bar_line().into_iter().chain(chooser.again());
    strokes.into_iter().chain(rests).chain(bars).collect()
}

fn slurs(chooser: &Chooser) -> Vec<Candidate> {
    [How::Hammer, How::Pull, How::Slide].into_iter().flat_map(|how| chooser.slurs(how)).collect()
}

/// What begins with `letter`, against the gait too: who types it wants it.
fn by_letter(chooser: &Chooser, letter: u8) -> Vec<Candidate> {
    match letter {
        b'1'..=b'5' => chooser.strikes(Some(letter - b'0')),
        b't' => chooser.thumbs(true),
        b'h' => chooser.slurs(How::Hammer),
        b'p' => chooser.slurs(How::Pull).into_iter().chain(chooser.alternates()).collect(),
        b's' => chooser.slurs(How::Slide),
        _ => Vec::new(),
    }
}

/// The likeliest first.
fn ranked(mut candidates: Vec<Candidate>) -> Vec<Completion> {
    candidates.sort_by_key(|candidate| candidate.cost);
    candidates.into_iter().map(Completion::from).collect()
}

/// The chords of the key, as symbols.
fn chords(chooser: &Chooser) -> Vec<Completion> {
    let detail = format!("a chord in the key of {}", chooser.key().name());
    let symbol = |name: String| {
        let item = Completion::new(CompletionKind::Value, format!("<{name}>"), detail.as_str());
        item.about(Topic::new(Subject::Chord, name))
    };
    chooser.key().chords().into_iter().map(symbol).collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{complete, item, jig, labels, reel};

    /// The first `count` of what is offered in `marked`.
    #[track_caller]
    fn first(marked: &str, expected: &[&str]) {
        let found = labels(marked);
        assert_eq!(found[..expected.len().min(found.len())], *expected, "{marked}: {found:?}");
    }

    #[test]
    fn on_a_fall_a_strike_of_the_key_near_the_last_note() {
        let jig = jig("| 2:1 t $0 |");
        first(&jig, &["1:0", "2:0"]);
        let found = labels(&jig);
        assert!(!found.iter().any(|label| label.starts_with(['t', 'h', 'p', 's'])), "{found:?}");
        // C sharp is not of the key of G, and fret 12 is out of reach.
        assert!(!found.contains(&"2:2".to_owned()) && !found.contains(&"1:12".to_owned()), "{found:?}");
        assert_eq!(item(&jig, "1:0").detail, "D4, strike as the hand falls on 3");
    }

    #[test]
    fn on_a_rise_the_drone_then_slurs_the_right_way() {
        let jig = jig("| 2:1 $0 |");
        first(&jig, &["t"]);
        let found = labels(&jig);
        assert!(found.contains(&"h3".to_owned()) && found.contains(&"p0".to_owned()), "{found:?}");
        assert!(!found.iter().any(|label| label.contains(':') && !label.starts_with('t')), "{found:?}");
        assert_eq!(item(&jig, "t").detail, "G4, thumb as the hand rises on 2");
        assert_eq!(item(&jig, "h3").detail, "D4, hammer-on from fret 1 as the hand rises on 2");
        // The thumb drops to the player's side of the string that was struck.
        assert!(
            found.contains(&"t3:0".to_owned()) && !found.iter().any(|label| label.starts_with("t2")),
            "{found:?}"
        );
        let open = labels(&super::super::testing::jig("| 2:0 $0 |"));
        assert!(!open.iter().any(|label| label.starts_with(['p', 's'])), "{open:?}");
    }

    #[test]
    fn the_ways_of_the_tune_count() {
        first(&jig("| 3:0- 2:0  3:0- 2:0 | 3:0- 1:2  3:0$0"), &["3:0"]);
        first(&jig("| 3:0- 2:0  3:0- 2:0 | 3:0- 1:2  3:0 $0"), &["-"]);
        first(&jig("| 3:0- 4:2  3:0- 4:2 | 3:0- 4:2  3:0- $0"), &["4:2"]);
    }

    #[test]
    fn the_end_and_the_start_of_a_bar_have_their_own() {
        first(&jig("| 3:0 t 3:0  3:0 t 3:0 $0"), &["|"]);
        let start = labels(&jig("| 3:0 t 3:0  3:0 t 3:0 | $0"));
        assert!(start.contains(&"%".to_owned()) && !start.contains(&"|".to_owned()), "{start:?}");
        let call = labels("tune: T\nmeter: 6/8\npart A\n| $0\n\nphrase lick\n| 3:0-- 3:0-- |");
        assert!(call.contains(&"@lick".to_owned()), "{call:?}");
        assert!(!labels(&jig("| $0 3:0 |")).contains(&"%".to_owned()));
    }

    #[test]
    fn a_letter_asks_for_its_own() {
        let frets = labels(&jig("| 2:$0 t 3:0 |"));
        assert!(frets.len() > 20 && frets.iter().all(|label| label.starts_with("2:")), "{frets:?}");
        assert_eq!(complete(&jig("| 3:0 2:$01! 3:0 |")).0, "2:1");
        let against = item(&jig("| 3:0 t h$0"), "h2");
        assert_eq!(against.detail, "A3, hammer-on from the open string where the hand should fall on 3");
        assert_eq!(labels(&jig("| 3:2 p$0"))[0], "p0");
        assert_eq!(labels(&jig("| <$0 3:0 |"))[..3], ["<G>", "<C>", "<D>"]);
        assert_eq!(item(&jig("| <$0 3:0 |"), "<Em>").detail, "a chord in the key of G");
        assert_eq!(labels(&jig("| \"slo$0w\" 3:0 |")), [""; 0]);
        assert_eq!(labels(&jig("| 3:0 x$0 |")), [""; 0]);
    }

    #[test]
    fn braces_and_brushes_go_their_own_way() {
        let second = labels(&reel("| {3:0 $0"));
        assert!(second[0] == "t" || second[0] == "h2", "{second:?}");
        assert!(labels(&reel("| {3:0 h2 $0"))[0].contains(':'));
        assert!(labels(&reel("| {3:0 h2 $0}/2 3:0"))[0].contains(':'));
        let brush = labels(&reel("| [3:0 2:1 $0]"));
        assert!(brush.iter().all(|label| label.starts_with(['1', '4'])), "{brush:?}");
        assert!(labels(&reel("| 3:0-  $0")).iter().take(3).any(|label| label == "[3:0 2:0 1:0]"));
        assert_eq!(
            item(&reel("| <C> 3:0-  $0"), "[3:0 2:1 1:2]").detail,
            "G3 C4 E4, brush as the hand falls on 2"
        );
    }

    #[test]
    fn below_an_empty_line_something_new_begins() {
        for line_end in ["\n", "\r\n"] {
            let text = jig("| 3:0-- 3:0-- |\n\n  $0").replace('\n', line_end);
            first(&text, &["part B", "ending 1", "phrase"]);
            let next = jig("| 3:0-- 3:0-- |\n  $0").replace('\n', line_end);
            assert!(labels(&next)[0].contains(':'));
        }
    }

    #[test]
    fn a_word_put_before_another_is_kept_apart() {
        assert_eq!(item(&jig("| 3:0 $02:0 |"), "t").text, "t ");
        assert_eq!(item(&jig("| 3:0 $0 2:0 |"), "t").text, "t");
    }

    #[test]
    fn changes_in_mid_tune_are_followed() {
        let three = "tune: T\nmeter: 6/8\npart A\n| 3:0-- 3:0-- |\nmeter: 4/4\n| 3:0 t $0";
        assert_eq!(item(three, "2:0").detail, "B3, strike as the hand falls on 2");
        let new = "tune: T\nmeter: 6/8\npart A\n| 3:0-- 3:0-- |\nmeter: 4/4\n$0";
        assert_eq!(item(new, "2:0").detail, "B3, strike as the hand falls on 1");
    }
}
