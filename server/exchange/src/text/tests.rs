use lope_tune::write;

use super::read_tab;

fn reads(text: &str) -> (String, Vec<String>) {
    let tab = read_tab(text.as_bytes(), None).unwrap();
    (write(&tab.tune), tab.remarks.iter().map(ToString::to_string).collect())
}

#[test]
fn a_tab_as_it_is_mailed_is_read() {
    let (text, said) = reads(
        "Hello all, here is the one from Tuesday:\n\
         Cold Slip, Warm Tea\n\
         Tuning: gDGBD, 6/8, tempo 96\n\n\
         Part A (play twice)\n\
         d |-0-|-------0-----|-------0---|\n\
         B |---|---0-----0---|-0h1-----0-|\n\
         G |---|-0-----------|-----------|\n\
         D |---|-------------|-----------|\n\
         g |---|-----0-----0-|-----0-----|\n\n\
         let me know how you get on\n",
    );
    assert_eq!(
        text,
        "\
tune: Cold Slip, Warm Tea
meter: 6/8
tuning: gDGBD
tempo: 96

part A x2
1:0 | 3:0 2:0 t  1:0 t2:0 t | 2:0 h1 t  1:0 t2:0 |
"
    );
    let says = |what: &str| said.iter().filter(|said| said.contains(what)).count();
    assert_eq!(says("line 1: `Hello all, here is the one from Tuesday:` is not music"), 1, "{said:?}");
    assert_eq!(says("line 12: `let me know how you get on` is not music"), 1, "{said:?}");
    assert_eq!(says("2 columns are taken for a 1/8 note"), 1, "{said:?}");
    assert_eq!(says("by the gait it plays"), 1, "{said:?}");
}

#[test]
fn labels_name_the_tuning_and_what_is_missing_is_guessed_and_said() {
    let (text, said) =
        reads("D|-------0-----|\nC|---------0---|\nG|-0-----------|\nC|---2---------|\ng|-----0-----0-|\n");
    assert!(text.contains("tuning: gCGCD\n") && text.contains("meter: 6/8\n"), "{text}");
    assert!(text.ends_with("| 3:0 t4:2 t  1:0 t2:0 t |\n"), "{text}");
    assert!(said.iter().any(|said| said.contains("the text names no meter; its bars say 6/8")), "{said:?}");
}

#[test]
fn a_drone_on_top_is_turned_over_and_ragged_lines_are_read_bar_by_bar() {
    let (text, said) = reads(
        "6/8\ng|-----0-----0-|\nD|-------------|\nG|-0-----------|\nB|---0-----0--|\nD|-------0-----|\n",
    );
    assert!(text.ends_with("| 3:0 2:0 t  1:0 t2:0 t |\n"), "{text}");
    assert!(said.iter().any(|said| said.contains("it is turned over")), "{said:?}");
    assert!(
        said.iter().any(|said| said.contains("line 2: the five lines here are not of one length")),
        "{said:?}"
    );
}

#[test]
fn repeats_are_read_from_bar_lines_and_from_words() {
    let bar = "-0-0-0-0-0-0-";
    let rest = "-------------";
    let line = |bar: &str, end: &str| format!("|{bar}|{bar}{end}|\n");
    let system = |end: &str| line(bar, end) + &line(rest, end).repeat(4);
    let (text, _) = reads(&format!("6/8\nA:\n{}\nB: (x3)\n{}", system(":"), system("")));
    assert!(text.contains("part A x2\n") && text.contains("part B x3\n"), "{text}");
}

#[test]
fn lines_that_do_not_go_together_are_refused_at_their_place() {
    let says = |text: &str| read_tab(text.as_bytes(), None).unwrap_err().to_string();
    let line = "|-0---2---|-0-------|\n";
    let six = says(&line.repeat(6));
    assert!(six.starts_with("line 1: 6 lines of tablature stand together here"), "{six}");
    let odd = format!("\n{}|-0---2-----0-------|\n", line.repeat(4));
    assert_eq!(
        says(&odd),
        "line 6: this line has 1 bars and the first of its system 2: put the bar lines below each other"
    );
    assert!(says("Dear all, see you on Tuesday\n").starts_with("there are no five lines of tablature"));
}

#[test]
fn a_letter_above_a_note_is_a_chord_and_begins_no_part() {
    let system =
        "|-0-|---0-----0-|\n|---|-----0-----|\n|---|-0-----0---|\n|---|-----------|\n|---|-----------|\n";
    let below = "  x   x o x x t x\n      1 2 3 4 5 6\n";
    let part = |name| format!("part {name}\n      G\n{system}{below}\n       D\n{system}\n");
    let (text, remarks) = reads(&format!("A Slate\n6/8, played A B A\n\n{}{}", part("A"), part("B")));
    assert!(text.contains("order: A B A\n"), "{text}");
    assert_eq!(text.matches("part ").count(), 2, "{text}");
    assert_eq!(
        remarks.iter().filter(|remark| remark.contains("below some systems only")).count(),
        1,
        "{remarks:?}"
    );
    assert_eq!(text.matches("<G>").count(), 2, "{text}");
}

#[test]
fn a_title_beside_other_words_is_one_and_a_row_of_letters_is_none() {
    let system = "D|-0---0---0---0--|\nB|----------------|\nG|----------------|\nD|----------------|\ng|----------------|\n";
    let title = |above: &str| reads(&format!("{above}{system}")).0.lines().next().unwrap().to_owned();
    assert_eq!(title("Lamp Oil Jig - 4/4 - gDGCD\n"), "tune: Lamp Oil Jig");
    assert_eq!(title("Over the Sluice, tuning gDGBD, 4/4\n   S   T   S   S\n"), "tune: Over the Sluice");
    assert_eq!(title("4/4, tuning gDGBD\n   S   T   S   S\n"), "tune: Untitled");
    assert_eq!(title("4/4, tuning gDGBD\n   G       D7\n"), "tune: Untitled");
}

#[test]
fn chords_above_other_peoples_tab_belong_to_the_nearest_note() {
    let (text, _) = reads(&format!(
        "4/4\n\n    G     D7\n{}",
        bar(16, &[(1, 0, "0"), (1, 4, "2"), (1, 8, "0"), (1, 12, "0")])
    ));
    assert!(text.ends_with("| <G> 1:0-  1:2-  <D7> 1:0-  1:0- |\n"), "{text}");
}

#[test]
fn tabs_are_blanks_up_to_the_next_eighth_column() {
    let system = |gap: &str| {
        format!("D |0--{gap}0---|\nB |---{gap}----|\nG |---{gap}----|\nD |---{gap}----|\ng |---{gap}----|\n")
    };
    assert_eq!(reads(&system("\t")).0, reads(&system("  ")).0);
}

/// A system of one bar, `width` columns wide: at each of `places` a string, a column and what stands there.
fn bar(width: usize, places: &[(usize, usize, &str)]) -> String {
    let mut rows = vec![vec!['-'; width]; 5];
    for (string, column, text) in places {
        rows[string - 1].splice(*column..column + text.len(), text.chars());
    }
    let rows = ["D", "B", "G", "D", "g"].iter().zip(rows);
    rows.map(|(name, row)| format!("{name} |{}|\n", row.iter().collect::<String>())).collect()
}

#[test]
fn strokes_below_the_music_say_what_the_thumb_plays() {
    // By the gait the thumb would play the second note, on the next string, and not the fourth.
    let notes = [(1, 1, "0"), (2, 3, "0"), (1, 5, "0"), (2, 7, "0"), (1, 9, "0"), (1, 11, "0")];
    let tab = bar(12, &notes);
    let text =
        format!("Slates\n6/8, open G tuning\n2 letters to 1/8; x strike, t\nthumb\n\n{tab}    x x x t x x\n");
    let (tune, remarks) = reads(&text);
    assert!(tune.ends_with("| 1:0 2:0 1:0  t2:0 1:0 1:0 |\n"), "{tune}");
    assert_eq!(remarks, [""; 0], "what the letters mean is known");
}

#[test]
fn bars_with_triplets_take_more_columns_in_text_of_our_own() {
    let straight = bar(16, &[(1, 1, "0"), (1, 5, "0"), (1, 9, "0"), (1, 13, "0")]);
    let threes = bar(48, &[(1, 1, "3--p1---0"), (1, 13, "0"), (1, 25, "0---2---0")]);
    let text = format!("Slates\n4/4, open G tuning\n2 letters to 1/8; p pull-off\n\n{straight}\n{threes}");
    let (tune, _) = reads(&text);
    assert!(
        tune.ends_with("| 1:0-  1:0-  1:0-  1:0- | {1:3 p1 1:0}/2  1:0-  {1:0 1:2 1:0}/2  - - |\n"),
        "{tune}"
    );
}
