use lope_rules::apply;

use super::super::testing::{check, check_none, check_refused, offers};

const RUN: &str = "refactor.rewrite.run";
const STRAIGHT: &str = "refactor.rewrite.straight";

fn tune(music: &str) -> String {
    format!("tune: T\nmeter: 4/4\n\npart A\n{music}\n")
}

#[test]
fn a_run_takes_the_time_of_the_beats_it_stands_for() {
    let fixture = tune("| $03:0- 2:0-$0  1:0 t 2:0 t | 3:0- - -  3:0- - - |");
    let made =
        tune("# straight: 3:0- 2:0-\n| {3:0 h2 2:0  2:1 h3 2:0}/4  1:0 t 2:0 t | 3:0- - -  3:0- - - |");
    check(RUN, &fixture, "make a run of 6: G A B, C D B", &made);
    let (_, offers) = offers(RUN, &fixture);
    let titles: Vec<&str> = offers.iter().map(|offer| offer.title.as_str()).collect();
    assert_eq!(
        titles,
        [
            "make a run of 6: G A B, C D B",
            "make a run of 6: G A B, D C B",
            "make a run of 6: G A C, D C B",
            "make a run of 3: G A B",
            "make a blues run of 6: G A# C, C# C B",
        ]
    );
}

#[test]
fn a_run_goes_out_to_whole_beats() {
    let fixture = tune("| 3:0 t $02:0$0 t  1:0 t 2:0 t |");
    let made = tune("# straight: 2:0 t\n| 3:0 t {2:0 h1 2:0}/2  1:0 t 2:0 t |");
    check(RUN, &fixture, "make a run of 3: B C B", &made);
    check_refused(RUN, &tune("| 3:0 t $02:0$0 |"), "make a run", "whole beats");
    let ten = "tune: T\nmeter: 5/4\n\npart A\n| $03:0 t 2:0 t  1:0 t 2:0 t 3:0 t$0 |\n";
    check_refused(RUN, ten, "make a run", "10 are selected");
    check_none(RUN, &tune("| $03:0 t 2:0 t  1:0 t 2:0 t |"));
}

#[test]
fn a_run_is_made_of_no_run() {
    let fixture = tune("| $0{3:0 h2 2:0}/2 2:0 t$0  1:0 t 2:0 t |");
    check_refused(RUN, &fixture, "make a run", "take it back first");
}

#[test]
fn a_jig_goes_in_threes_already() {
    let fixture = "tune: T\nmeter: 6/8\n\npart A\n| $03:0 t 2:0$0  1:0 t 2:0 |\n";
    check_refused(RUN, fixture, "make a run", "threes already");
}

#[test]
fn a_chord_symbol_and_a_comment_stay() {
    let fixture = tune("| $0<G> 3:0 t  # low\n  <C> 2:1 t$0  1:0 t 2:0 t |");
    let (reading, offers) = offers(RUN, &fixture);
    let made = apply(reading.text(), offers[0].edits.as_ref().unwrap());
    assert!(made.contains("# straight: 3:0 t  <C> 2:1 t\n| <G> {3:0 "), "{made}");
    assert!(made.contains("  <C> ") && made.contains("}/4  # low\n"), "{made}");
}

#[test]
fn a_run_goes_back_to_what_a_comment_remembers() {
    check(
        STRAIGHT,
        &tune("# played fast\n# straight: 3:0- 2:0-\n| {3:0 $0h2 2:0  2:1 h3 2:0}/4  1:0 t 2:0 t |"),
        "take the run back: 3:0- 2:0-",
        &tune("# played fast\n| 3:0- 2:0-  1:0 t 2:0 t |"),
    );
}

#[test]
fn a_run_that_nothing_remembers_goes_back_to_its_outline() {
    check(
        STRAIGHT,
        &tune("# straight: 3:0- 2:1-\n| {3:0 $0h2 2:0  2:1 h3 2:0}/4  1:0 t 2:0 t |"),
        "take the run back to its outline",
        &tune("# straight: 3:0- 2:1-\n| 3:0 h4 2:1 p0  1:0 t 2:0 t |"),
    );
    check_none(STRAIGHT, &tune("| {3:0 $02:0}  1:0 t 2:0 t |"));
}
