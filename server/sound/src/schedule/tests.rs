use lope_syntax::parse;
use lope_tune::{Defaults, play, read};

use super::*;
use crate::{Hands, Performance, passage};

fn tune(text: &str) -> Tune {
    read(text, &parse(text), &Defaults::default()).tune
}

fn scheduled(text: &str, performance: &Performance) -> Schedule {
    let tune = tune(text);
    schedule(&tune, &play(&tune), performance)
}

fn eighths(length: Duration) -> String {
    Duration::new(length.numerator() * 8, length.denominator()).to_string()
}

/// Every sound as `string:fret`, the eighth at which it begins and how many it lasts; then the end.
fn rows(schedule: &Schedule) -> String {
    let sounds = schedule.sounds.iter().map(|sound| {
        let onset = eighths(sound.onset.since_start());
        format!("{}:{}@{onset}*{}", sound.string, sound.fret, eighths(sound.length))
    });
    let end = format!("end@{}", eighths(schedule.end.since_start()));
    sounds.chain([end]).collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn check(text: &str, performance: &Performance, expected: &str) {
    assert_eq!(rows(&scheduled(text, performance)), expected);
}

/// Checks a tune in six-eight, played as written.
#[track_caller]
fn jig(music: &str, expected: &str) {
    check(&format!("tune: T\nmeter: 6/8\npart A\n{music}"), &Performance::default(), expected);
}

#[test]
fn a_string_rings_until_it_sounds_anew_a_silence_or_the_end() {
    jig("| 3:0 t 3:0 2:0 t 3:0 |", "3:0@0*2 5:0@1*3 3:0@2*3 2:0@3*3 5:0@4*2 3:0@5*1 end@6");
    jig("| 3:0 t _ 2:0 - - |", "3:0@0*2 5:0@1*1 2:0@3*3 end@6");
    jig("| 3:0- - _ - - |", "3:0@0*3 end@6");
    jig("| 3:0 h2 2:0 1:2 p0 2:1 |", "3:0@0*1 3:2@1*5 2:0@2*3 1:2@3*1 1:0@4*2 2:1@5*1 end@6");
}

#[test]
fn what_no_neck_can_sound_is_left_out_and_stops_nothing() {
    jig("| 5:0 t5:3 7:1 h9 - - |", "5:0@0*6 end@6");
    jig("| [2:0 2:1] - - - - - |", "2:1@0*6 end@6");
}

#[test]
fn a_falling_hand_reaches_the_fourth_string_first() {
    // 12 ms at 60 beats a minute in 4/4 are 3/125 of an eighth, or 121 ticks of 5040, and the thumb does not wait.
    let text = "tune: T\nmeter: 4/4\ntempo: 60\npart A\n| [1:2 3:0 t 2:1]------- |";
    check(
        text,
        &Performance::default(),
        "3:0@0*8 5:0@0*8 2:1@121/5040*40199/5040 1:2@121/2520*20039/2520 end@8",
    );
    // A very short one is not spread over what follows.
    let text = "tune: T\nmeter: 4/4\ntempo: 60\npart A\n| {{[1:2 2:1] _ _ _ _ _ _ _}}------- |";
    check(text, &Performance::default(), "2:1@0*1/8 1:2@1/64*7/64 end@8");
}

#[test]
fn pairs_lean_by_the_feel_and_triplets_stay_even() {
    let swing = |music: &str| format!("tune: T\nmeter: 4/4\nfeel: swing 2:1\npart A\n{music}");
    let all = Performance::default();
    check(
        &swing("| 1:0 1:1 1:2- {1:3 1:4} 1:5-- |"),
        &all,
        "1:0@0*4/3 1:1@4/3*2/3 1:2@2*2 1:3@4*2/3 1:4@14/3*2/3 1:5@16/3*8/3 end@8",
    );
    check(&swing("| {1:0 1:1 1:2}/2 1:3----- |"), &all, "1:0@0*2/3 1:1@2/3*2/3 1:2@4/3*2/3 1:3@2*6 end@8");
    let jig = "tune: T\nmeter: 6/8\nfeel: swing 2:1\npart A\n| 1:0 1:1 1:2 1:3-- |";
    check(jig, &all, "1:0@0*1 1:1@1*1 1:2@2*1 1:3@3*3 end@6");
}

#[test]
fn a_pickup_leans_as_the_end_of_the_bar_it_belongs_to() {
    let text =
        "tune: T\nmeter: 2/4\nunit: 1/8\nfeel: swing 2:1\npart A x2\n1:0 | 1:1 1:2 1:3 1:4 | 1:5 1:6 1:7 |";
    check(
        text,
        &Performance::default(),
        "1:0@1/3*2/3 1:1@1*4/3 1:2@7/3*2/3 1:3@3*4/3 1:4@13/3*2/3 1:5@5*4/3 1:6@19/3*2/3 1:7@7*4/3 \
         1:0@25/3*2/3 1:1@9*4/3 1:2@31/3*2/3 1:3@11*4/3 1:4@37/3*2/3 1:5@13*4/3 1:6@43/3*2/3 1:7@15*2 end@17",
    );
}

#[test]
fn a_count_in_counts_a_bar_and_what_a_pickup_leaves_of_its_own() {
    let performance = Performance { count_in: true, click: true, ..Performance::default() };
    let text = "tune: T\nmeter: 6/8\npart A\n1:0 | 1:1----- |";
    check(text, &performance, "1:0@11*1 1:1@12*6 end@18");
    let clicks = scheduled(text, &performance).clicks;
    let clicks = clicks.iter().map(|click| (eighths(click.onset.since_start()), click.first));
    let expected = [("0", true), ("3", false), ("6", true), ("9", false), ("12", true), ("15", false)];
    assert!(clicks.eq(expected.map(|(at, first)| (at.to_owned(), first))));
}

#[test]
fn a_passage_starts_over_in_time() {
    let text = "tune: T\nmeter: 3/8\nunit: 1/8\npart A x2\n1:0 | 1:1-- | 1:2- |\npart B\n| 1:3-- |";
    let over = |bars| {
        let tune = tune(text);
        let passage = passage(&tune, &play(&tune), "A", bars);
        Performance { passage, times: 2, ..Performance::default() }
    };
    // Bar 2 gives its last eighth back to the pickup, except where none follows.
    check(text, &over(Some(2..=2)), "1:2@0*3 1:2@3*3 end@6");
    check(text, &over(None), "1:0@0*1 1:1@1*3 1:2@4*2 1:0@6*1 1:1@7*3 1:2@10*3 end@13");
}

#[test]
fn each_hand_is_heard_alone_and_strings_stop_all_the_same() {
    let text = "tune: T\nmeter: 6/8\npart A\n| 3:0 t 3:0 h2 t2:0 t |";
    let only = |hand| Performance { hands: Hands::only(&[hand]), ..Performance::default() };
    check(text, &only(Hand::Right), "3:0@0*2 3:0@2*1 2:0@4*2 end@6");
    check(text, &only(Hand::Left), "3:2@3*3 end@6");
    check(text, &only(Hand::Drone), "5:0@1*4 5:0@5*1 end@6");
}

#[test]
fn the_clock_follows_tempo_meter_and_speed() {
    // At 60 in 6/8 a bar of two beats lasts two seconds; at 120 in 3/4 one of three lasts one and a half.
    let text = "tune: T\nmeter: 6/8\ntempo: 60\npart A\n| 1:0----- |\nmeter: 3/4\ntempo: 120\n| 1:1----- | 1:2----- |";
    let at = |speed| {
        let schedule = scheduled(text, &Performance { speed, ..Performance::default() });
        let mut times: Vec<f64> = schedule.sounds.iter().map(|sound| schedule.seconds(sound.onset)).collect();
        times.push(schedule.seconds(schedule.end));
        times
    };
    assert_eq!(at(100), [0.0, 2.0, 3.5, 5.0]);
    assert_eq!(at(50), [0.0, 4.0, 7.0, 10.0]);
    assert_eq!(at(200), [0.0, 1.0, 1.75, 2.5]);
}

#[test]
fn strikes_are_louder_than_thumbs_and_slurs_and_accents_loudest() {
    let schedule = scheduled("tune: T\nmeter: 6/8\npart A\n| 3:0 t 3:0! h2 p0 s4 |", &Performance::default());
    let [strike, thumb, accent, hammer, pull, slide] = [0, 1, 2, 3, 4, 5].map(|at| schedule.sounds[at].level);
    assert!(accent > strike && strike > thumb && thumb > hammer && hammer > slide && pull > slide);
    assert_eq!(schedule.sounds[5].from, Some(schedule.sounds[4].pitch));
}

#[test]
fn nothing_to_play_is_an_empty_schedule() {
    check("", &Performance::default(), "end@0");
    let elsewhere = Performance { passage: Some(7..9), count_in: true, ..Performance::default() };
    check("tune: T\nmeter: 6/8\npart A\n| 3:0 |", &elsewhere, "end@0");
}
