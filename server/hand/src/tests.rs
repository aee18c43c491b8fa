//! What both hands do in small tunes, and laws that hold for any.

use lope_tune::{BarId, Defaults, EventId, Stroke, Tune};
use proptest::prelude::*;

use crate::{Fell, Hand, Plant, Strings, read};

fn tune(text: &str) -> Tune {
    lope_tune::read(text, &lope_syntax::parse(text), &Defaults::default()).tune
}

pub fn in_meter(meter: &str, music: &str) -> Tune {
    tune(&format!("tune: Test\nmeter: {meter}\n\npart A\n{music}\n"))
}

/// The motions of `tune`: `x` for a fall, `.` for a rise, `~` between, each with `!` where the hand
/// strikes and `o` where it falls on air; a bar line between bars.
fn motions(tune: &Tune) -> String {
    let hand = read(tune);
    let motion = |id| {
        let motion = hand.motion(EventId(id));
        let stroke = match motion.stroke {
            Stroke::Fall => "x",
            Stroke::Rise => ".",
            Stroke::Between => "~",
        };
        let fell = match motion.fell {
            Fell::Struck => "!",
            Fell::Air => "o",
            Fell::Not => "",
        };
        format!("{stroke}{fell}")
    };
    let bars = tune.bars.iter().map(|bar| bar.events.clone().map(motion).collect::<Vec<_>>().join(" "));
    bars.collect::<Vec<_>>().join(" | ")
}

/// For each thumb note: how many notes back its plant lies, the strings struck there, and `<` where that
/// is before the bar; `none` where there is no plant.
fn plants(tune: &Tune) -> Vec<String> {
    let plant = |plant: Option<Plant>| {
        let Some(Plant { back, struck, same_bar, .. }) = plant else { return "none".to_owned() };
        let strings: String =
            (1..=5).filter(|string| struck.has(*string)).map(|string| string.to_string()).collect();
        format!("{back}{}{strings}", if same_bar { ":" } else { "<" })
    };
    read(tune).thumbs.iter().map(|thumb| plant(thumb.plant)).collect()
}

fn slurs(tune: &Tune) -> Vec<Option<u8>> {
    read(tune).slurs.iter().map(|slur| slur.from).collect()
}

#[test]
fn the_hand_falls_on_one_and_three_of_three() {
    let jig = in_meter("6/8", "| 3:0 t 3:0  1:0- 2:0 | 1:2 h4 2:0  3:0 t h2 |");
    assert_eq!(motions(&jig), "x! . x! x! x! | x! . x! x! . x");
    let unstruck = read(&jig).unstruck;
    assert_eq!(unstruck.iter().map(|note| note.event.0).collect::<Vec<_>>(), [10]);
}

#[test]
fn the_hand_falls_on_every_beat_of_a_reel() {
    let reel = in_meter("4/4", "| 3:0 t - t  _ 1:0 {1:2 1:4} t |");
    assert_eq!(motions(&reel), "x! . . xo .! x! ~! .");
    assert_eq!(read(&reel).strays.len(), 2, "a strike on a rise and one between");
}

#[test]
fn a_gait_of_ones_own_and_odd_meters() {
    assert_eq!(motions(&in_meter("7/8", "| 3:0 t 3:0 t 3:0 t 3:0 |")), "x! . x! . x! . x!");
    let five = tune("tune: Five\nmeter: 5/8\ngait: x.xx.\n\npart A\n| 3:0 t 3:0  2:0 t |\n");
    assert_eq!(motions(&five), "x! . x! x! .");
    let changed = in_meter("4/4", "| 3:0 t 3:0 t 3:0 t 3:0 t |\nmeter: 6/8\n| 3:0 t 3:0  3:0 t 3:0 |");
    assert_eq!(motions(&changed), "x! . x! . x! . x! . | x! . x! x! . x!");
}

#[test]
fn a_pickup_has_the_end_of_the_gait() {
    assert_eq!(motions(&in_meter("6/8", "t 1:0 | 3:0 t 3:0  3:0 t 3:0 |")), ". x! | x! . x! x! . x!");
    assert_eq!(motions(&in_meter("4/4", "t | 3:0 t 3:0 t 3:0 t 3:0 - |")), ". | x! . x! . x! . x!");
}

#[test]
fn inside_a_run_the_hand_goes_in_threes() {
    let run = in_meter("4/4", "| {3:0 t 2:0}/2 1:0 t  {3:0 h2 - 2:0 t 1:0}/4 |");
    assert_eq!(motions(&run), "x! . x! x! . x! . x! . x!");
    let held = in_meter("4/4", "| {3:0 _ -}/2 t h2  {- t 2:0}/2 t h2 |");
    assert_eq!(motions(&held), "x! . x . . x! x .");
}

#[test]
fn runs_in_runs_go_by_the_innermost() {
    let nested = in_meter("2/4", "| {3:0 {t 2:0 1:0} 2:0}/8 |");
    assert_eq!(motions(&nested), "x! x .! x! x!");
}

#[test]
fn a_thumb_is_planted_where_the_hand_fell_last() {
    let jig = |music| plants(&in_meter("6/8", music));
    assert_eq!(jig("| 3:0 t 3:0  2:0 t 2:0 |"), ["1:3", "1:2"]);
    assert_eq!(jig("| 3:0 h2 t  1:0 - t |"), ["2:3", "1:1"]);
    assert_eq!(jig("| _ t 3:0  [3:0 2:0] t 2:0 |"), ["0:", "1:23"], "a fall on air, and a brush");
    assert_eq!(jig("| 3:0 - -  - t 2:0 |"), ["0:"], "the falls inside a held note are on air");
    assert_eq!(jig("| h2 t 3:0  3:0 t 3:0 |"), ["none", "1:3"], "a hammer-on takes the fall");
    assert_eq!(jig("| 3:0 t 3:0  3:0 t 2:0 | h2 t 3:0  3:0 t 3:0 |"), ["1:3", "1:3", "2<2", "1:3"]);
    assert_eq!(jig("| 3:0 t 3:0  3:0 t | t t 3:0  3:0 t 3:0 |")[2..4], ["0<", "1<"], "a short bar goes on");
}

#[test]
fn a_pickup_takes_up_the_hand_of_the_bar_before_it() {
    assert_eq!(plants(&in_meter("6/8", "t 1:0 | 3:0- 3:0  3:0- 3:0 |")), ["0:"]);
    let parts =
        tune("tune: Two\nmeter: 6/8\n\npart A\n| 3:0- 3:0  2:0 |\n\npart B\nt 1:0 | 3:0- 3:0  3:0- - |\n");
    assert_eq!(plants(&parts), ["1:2"]);
}

#[test]
fn inside_a_run_the_thumb_is_planted_by_its_falls() {
    assert_eq!(
        plants(&in_meter("4/4", "| {3:0 t 2:0}/2 1:0 t  {3:0 - _ 2:0 - t}/4 |")),
        ["1:3", "1:1", "1:2"]
    );
    assert_eq!(plants(&in_meter("4/4", "| {3:0 h2 -}/2 t 3:0  - - - - |")), ["0:"]);
}

#[test]
fn slurs_start_from_what_sounds_on_their_string() {
    let jig = |music| slurs(&in_meter("6/8", music));
    assert_eq!(jig("| 3:0 h2 2:0  p0 h1 s3 |"), [Some(0), Some(0), Some(0), Some(1)]);
    assert_eq!(jig("| 1:2 _ p0  2:1 t p0 |"), [None, Some(1)], "a silence stops every string");
    assert_eq!(jig("| 1:2 2:1 h1:4  p3:0 t 3:0 |"), [Some(2), None]);
    assert_eq!(jig("| 1:2- -  -- - | p0 t 1:0  1:0 t 1:0 |"), [Some(2)], "strings ring over the bar line");
    assert_eq!(jig("| h2 t 3:0  3:0 t 3:0 |"), [None]);
}

#[test]
fn endings_go_on_from_the_body_of_their_part() {
    let text = "tune: Ends\nmeter: 6/8\n\npart A\n| 1:0 t 1:0  1:0 t 1:2 |\n\
                ending 1\n| p0 t 1:5  1:5 t 1:5 |\nending 2\n| p0 t 1:0  1:0 t 1:0 |\n";
    assert_eq!(slurs(&tune(text)), [Some(2), Some(2)]);
}

#[test]
fn strikes_closer_than_a_limit_are_found_across_bar_lines_too() {
    let text = |tempo| {
        format!("tune: Fast\nmeter: 6/8\ntempo: {tempo}\n\npart A\n| 3:0- -  3:0 t 3:0 | 3:0- -  - - 3:0 |\n")
    };
    let gaps = |tempo, micros| -> Vec<(u32, u64)> {
        let tune = tune(&text(tempo));
        read(&tune).gaps_under(&tune, micros).iter().map(|gap| (gap.bar.0, gap.micros)).collect()
    };
    assert_eq!(gaps(100, 200_000), [], "an eighth takes 200 ms at 100");
    assert_eq!(gaps(100, 200_001), [(1, 200_000)]);
    assert_eq!(gaps(200, 200_001), [(0, 200_000), (1, 100_000)]);
}

#[test]
fn a_pickup_follows_a_short_bar_at_once() {
    let text = "tune: Back\nmeter: 6/8\ntempo: 200\n\npart A\n1:0 | 3:0- -  3:0- - | 3:0- -  3:0 2:0 |\n\
                part B\n1:0 | 3:0- -  3:0- - |\n";
    let tune = tune(text);
    let gaps = read(&tune).gaps_under(&tune, 120_000);
    let bars: Vec<_> = gaps.iter().map(|gap| gap.bar).collect();
    assert_eq!(bars, [BarId(1), BarId(2), BarId(3), BarId(4)]);
    assert!(gaps.iter().all(|gap| gap.micros == 100_000));
}

#[test]
fn strings_are_one_to_five() {
    let strings = Strings::NONE.with(2).with(4).with(0).with(6).with(255);
    assert_eq!((1..=255).filter(|string| strings.has(*string)).collect::<Vec<_>>(), [2, 4]);
    assert_eq!(strings.highest_numbered(), Some(4));
    assert_eq!(Strings::NONE.highest_numbered(), None);
}

/// A row of slots, each of them likely in music and all of them allowed.
fn music() -> impl Strategy<Value = String> {
    let slot = prop_oneof![
        "[1-4]:[0-7]",
        Just("t".to_owned()),
        "t[2-4]:[0-5]",
        "[hps][0-7]",
        Just("-".to_owned()),
        Just("_".to_owned()),
        Just("|".to_owned()),
        Just("[3:0 2:1 1:2]".to_owned()),
        Just("{1:0 h2 1:4}/2".to_owned()),
        Just("{1:0 t}".to_owned()),
        Just("{- t 2:0}".to_owned()),
        Just("{t 2:0 - {3:0 t 3:0} - 1:0}/3".to_owned()),
        Just("\npart B\n".to_owned()),
    ];
    prop::collection::vec(slot, 0..60).prop_map(|slots| slots.join(" "))
}

proptest! {
    /// Whatever is written: the hand strikes where a note is struck and nowhere else; a note on a fall is
    /// struck, listed, or a left-hand note beside a strike; a stray is off the fall; and a plant is never
    /// further back than notes have sounded.
    #[test]
    fn motions_agree_with_the_music(meter in prop::sample::select(vec!["6/8", "4/4", "2/4", "7/8", "9/8"]), music in music()) {
        let tune = in_meter(meter, &music);
        let hand = read(&tune);
        prop_assert_eq!(hand.motions.len(), tune.events.len());
        for (id, event) in (0..).map(EventId).zip(&tune.events) {
            let notes = tune.notes_of(event);
            let motion = hand.motion(id);
            let struck = notes.iter().any(|note| note.how == lope_tune::How::Strike);
            prop_assert_eq!(motion.fell == Fell::Struck, struck);
            let is_listed = hand.unstruck.iter().any(|note| note.event == id);
            let on_fall = motion.stroke == Stroke::Fall;
            prop_assert!(!is_listed || on_fall);
            if on_fall && !notes.is_empty() && !struck {
                prop_assert!(is_listed);
            }
            prop_assert_eq!(hand.strays.iter().any(|stray| stray.event == id), struck && !on_fall);
            prop_assert_eq!(motion.fell == Fell::Air, on_fall && notes.is_empty());
        }
        for thumb in &hand.thumbs {
            let back = thumb.plant.map_or(0, |plant| usize::from(plant.back));
            prop_assert!(back <= tune.events.len());
            if thumb.plant.is_some_and(|plant| plant.back == 0) {
                prop_assert!(thumb.plant.is_some_and(|plant| plant.struck.is_empty()));
            }
        }
        let hands: usize = hand.thumbs.len() + hand.slurs.len();
        let strikes = tune.notes.iter().filter(|note| note.how == lope_tune::How::Strike).count();
        prop_assert_eq!(hands + strikes, tune.notes.len());
        same_falls_by_the_clock(&tune, &hand)?;
    }
}

/// The reckoning by shifts and masks agrees with asking the gait at each moment.
fn same_falls_by_the_clock(tune: &Tune, hand: &Hand) -> Result<(), TestCaseError> {
    for bar in tune.bars.iter() {
        for id in bar.events.clone().map(EventId) {
            let event = &tune.events[id.index()];
            if event.run.is_none() {
                let (stroke, number) = tune.frame(bar).gait.at(event.onset + bar.lead);
                prop_assert_eq!(
                    (stroke, number),
                    (hand.motion(id).stroke, u64::from(hand.motion(id).number))
                );
            }
        }
    }
    Ok(())
}

/// Phrases are played where they are called; what is told of their notes is found all the same.
#[test]
fn what_is_told_of_a_note_is_found_wherever_it_is_written() {
    let text = "part A\n| 2:0 t 2:1  2:0 2:1 t | @lick |\n\nphrase lick\n| 1:0 h2 1:0  1:0 1:2 t |\n\npart B\n| 1:0 p0 t  1:0 t 1:0 |\n";
    let hand = read(&tune(&format!("tune: Test\nmeter: 6/8\n\n{text}")));
    assert_eq!((hand.thumbs.len(), hand.strays.len(), hand.slurs.len()), (5, 2, 2));
    assert!(hand.thumbs.iter().all(|thumb| hand.thumb(thumb.note) == Some(thumb)));
    assert!(hand.strays.iter().all(|stray| hand.stray(stray.event) == Some(stray)));
    assert!(hand.slurs.iter().all(|slur| hand.slur(slur.note) == Some(slur)));
    assert!(hand.meetings.iter().all(|meeting| hand.meeting(meeting.bar) == Some(meeting)));
    assert_eq!(hand.stray(EventId(0)), None);
}

#[test]
fn a_strike_on_a_rise_knows_whether_a_thumb_waits_for_it() {
    let plants = |music: &str| {
        read(&in_meter("6/8", music)).strays.iter().map(|stray| stray.plants).collect::<Vec<_>>()
    };
    assert_eq!(plants("| 2:0 2:1 1:0  1:2 t 1:0 |"), [false]);
    assert_eq!(plants("| {2:0 2:1}/2 t  1:2 t 1:0 |"), [false], "the thumb is on a fall itself");
    assert_eq!(plants("| 2:0 {2:1 t} 1:0  1:2 t 1:0 |"), [true]);
}
