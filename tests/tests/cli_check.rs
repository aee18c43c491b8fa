//! `lope check`: what it reads, what it says, how it ends.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use lope_tests::book::Book;
use lope_tests::program::{command, feed, run_with};

const CLEAN: &str = "tune: The Long String\nmeter: 6/8\n\npart A\n| 1:0 t5:7 1:2  1:0 t 1:0 |\n";
/// One error, of a rule that looks at nothing else.
const FAULTY: &str = "tune: The Short String\nmeter: 6/8\n\npart A\n| 1:0 t5:3 1:2  1:0 t 1:0 |\n";
/// Nothing but the rule of `FAULTY` counts.
const ONE_RULE: &str = "[rules]\npart-length = \"off\"\nsame-title = \"off\"\n";

/// The findings of a run, by file, line and column: `a.lope:5:7`.
fn places(out: &str) -> Vec<&str> {
    let is_place = |word: &&str| word.matches(':').count() == 2 && word.contains(".lope");
    out.lines().filter_map(|line| line.split(' ').rev().find(is_place)).collect()
}

#[test]
fn a_finding_stands_under_its_tune_with_its_line_and_both_its_places() {
    let book = Book::of(&[("lope.toml", ONE_RULE), ("jigs/short.lope", FAULTY), ("jigs/long.lope", CLEAN)]);
    assert_eq!(
        book.run(&["check"]).expect(1),
        "\
The Short String

  part A, bar 1, count 2: the drone has no fret 3: its peg sits at the fifth fret
      | 1:0 t5:3 1:2  1:0 t 1:0 |
            !!!!
      error off-the-neck, jigs/short.lope:5:7

1 error in 1 of 2 files
"
    );
}

#[test]
fn a_clean_book_says_so() {
    let book = Book::of(&[("lope.toml", ONE_RULE), ("long.lope", CLEAN)]);
    assert_eq!(book.run(&["check", "long.lope"]).expect(0), "1 file checked, nothing found\n");
}

#[test]
fn it_fails_at_the_level_that_is_asked_for() {
    let level = |level: &str| format!("{ONE_RULE}off-the-neck = \"{level}\"\n");
    let book = Book::of(&[("short.lope", FAULTY)]);
    for (set, asked, code) in [
        ("hint", "hint", 1),
        ("hint", "warning", 0),
        ("warning", "warning", 1),
        ("warning", "error", 0),
        ("error", "error", 1),
        ("off", "hint", 0),
    ] {
        book.write("lope.toml", level(set));
        book.run(&["check", "--fail-on", asked]).expect(code);
    }
    book.write("lope.toml", level("warning"));
    book.run(&["check"]).expect(1);
}

#[test]
fn a_folder_gives_its_tunes_in_order_less_what_is_left_out() {
    let leave_out = format!("leave-out = [\"drafts/\", \"*.old.lope\"]\n{ONE_RULE}");
    let names = [
        "b.lope",
        "a/z.lope",
        "a/y.lope",
        "a.lope",
        "a.old.lope",
        "a.txt",
        ".hidden.lope",
        "drafts/c.lope",
        "ignored/d.lope",
    ];
    let mut files = vec![("lope.toml", leave_out.as_str()), (".gitignore", "ignored/\n")];
    files.extend(names.map(|name| (name, FAULTY)));
    let book = Book::of(&files);
    let out = book.run(&["check"]).expect(1);
    assert_eq!(places(&out), ["a.lope:5:7", "a/y.lope:5:7", "a/z.lope:5:7", "b.lope:5:7"]);
    // What is named is checked, whatever keeps it out of a walk.
    let named = ["a.txt", "drafts", "ignored/d.lope", ".hidden.lope", "a.old.lope", "a.old.lope"];
    let out = book.run(&[&["check"], &named[..]].concat()).expect(1);
    assert!(out.ends_with("\n5 errors in 5 of 5 files\n"), "{out}");
}

#[test]
fn a_link_to_a_tune_is_followed_and_a_link_to_a_folder_is_not() {
    let book = Book::of(&[("lope.toml", ONE_RULE), ("all/a.lope", FAULTY)]);
    std::os::unix::fs::symlink("all/a.lope", book.path("b.lope")).unwrap();
    std::os::unix::fs::symlink(".", book.path("round")).unwrap();
    let out = book.run(&["check"]).expect(1);
    assert_eq!(places(&out), ["all/a.lope:5:7", "b.lope:5:7"]);
}

#[test]
fn standard_input_goes_by_the_name_it_is_given() {
    let book =
        Book::of(&[("lope.toml", ONE_RULE), ("strict/lope.toml", "[rules]\npart-length = \"error\"\n")]);
    let ran = |args: &[&str]| run_with(&book.folder(), args, FAULTY.as_bytes());
    assert_eq!(places(&ran(&["check", "-", "--name", "jigs/new.lope"]).expect(1)), ["jigs/new.lope:5:7"]);
    assert!(ran(&["check", "-"]).expect(1).contains(" -:5:7\n"));
    let strict = ran(&["check", "-", "--name", "strict/new.lope"]).expect(1);
    assert!(strict.contains("error part-length"), "the book of the name counts:\n{strict}");
}

#[test]
fn rules_can_be_set_for_a_path() {
    let book = Book::of(&[
        (
            "lope.toml",
            "[[paths]]\nmatch = \"slow/\"\nrules.off-the-neck = \"hint\"\nrules.part-length = \"off\"\n",
        ),
        ("slow/air.lope", FAULTY),
    ]);
    assert!(book.run(&["check", "slow"]).expect(0).contains("hint off-the-neck, slow/air.lope:5:7"));
}

#[test]
fn tunes_of_one_book_that_share_a_title_are_told_of_each_other() {
    let kept = CLEAN.replacen('\n', " # keep same-title: the other is for two\n", 1);
    let book = Book::of(&[
        ("lope.toml", "[rules]\npart-length = \"off\"\n"),
        ("a.lope", CLEAN),
        ("b.lope", &format!("{FAULTY}\n{}", CLEAN.to_uppercase().replace("TUNE:", "tune:"))),
        ("kept.lope", &kept),
        ("other/lope.toml", "[rules]\npart-length = \"off\"\n"),
        ("other/a.lope", CLEAN),
    ]);
    let out = book.run(&["check"]).expect(1);
    let told = out.lines().filter(|line| line.contains("same-title")).collect::<Vec<_>>();
    assert_eq!(told, ["      hint same-title, b.lope:7:7"], "{out}");
    assert!(out.contains("  another tune has this title: see a.lope, line 1\n"), "{out}");
}

#[test]
fn mistakes_in_the_configuration_stand_at_their_lines_and_the_check_goes_on() {
    let mistaken = format!("levels = 3\n{ONE_RULE}off-the-nek = \"off\"\n[neck]\nfrets = \"many\"\n");
    let book = Book::of(&[("lope.toml", mistaken.as_str()), ("short.lope", FAULTY)]);
    let out = book.run(&["check"]).expect(1);
    for expected in [
        "error off-the-neck, short.lope:5:7\n",
        "there is no `levels` in lope.toml",
        "error bad-setting, lope.toml:1:1\n",
        "  there is no rule `off-the-nek`; did you mean `off-the-neck`?\n      off-the-nek = \"off\"\n      !!!!!!!!!!!\n",
        "error bad-setting, lope.toml:5:1\n",
        "`frets` wants a whole number from 1 to 36, not \"many\"",
        "error bad-setting, lope.toml:7:9\n",
        "4 errors in 2 of 2 files\n",
    ] {
        assert!(out.contains(expected), "{expected}\nnot in\n{out}");
    }
}

#[test]
fn a_configuration_that_is_not_toml_is_one_finding_and_the_defaults_stand() {
    let book = Book::of(&[("lope.toml", "this is no TOML\n"), ("short.lope", FAULTY)]);
    let out = book.run(&["check"]).expect(1);
    assert!(out.contains("this is not TOML") && out.contains("bad-setting, lope.toml:1:"), "{out}");
    assert!(out.contains("error off-the-neck, short.lope:5:7\n"), "{out}");
}

#[test]
fn columns_count_characters_and_marks_stand_under_wide_ones() {
    let text = FAULTY.replace("| 1:0 t5:3", "| \"二胡 🪕 é\" 1:0 t5:3");
    let book = Book::of(&[("lope.toml", ONE_RULE), ("wide.lope", text.as_str())]);
    let out = book.run(&["check"]).expect(1);
    assert!(out.contains("wide.lope:5:16\n"), "{out}");
    assert!(
        out.contains("      | \"二胡 🪕 é\" 1:0 t5:3 1:2  1:0 t 1:0 |\n                        !!!!\n"),
        "{out}"
    );
}

#[test]
fn nothing_in_a_tune_or_a_name_steers_the_terminal() {
    let text = FAULTY.replace("Short", "\u{1b}[31mShort").replace("t5:3", "t5:3 \u{1b}]0;\u{7}");
    let book = Book::of(&[("lope.toml", "\"\\u001b[31m\" = 3\n"), ("\u{1b}[31m.lope", &text)]);
    book.write("\u{1b}[32m.lope", b"\0");
    for verb in ["check", "mend"] {
        let ran = book.run(&[verb]);
        assert!(!ran.out.contains(['\u{1b}', '\u{7}']), "{ran:?}");
        assert!(!ran.err.contains(['\u{1b}', '\u{7}']), "{ran:?}");
    }
}

#[test]
fn colour_is_for_terminals_and_for_those_who_ask() {
    let book = Book::of(&[("lope.toml", ONE_RULE), ("short.lope", FAULTY)]);
    let coloured = |variables: &[(&str, &str)]| {
        let mut check = command(&book.folder());
        let output = feed(check.arg("check").envs(variables.iter().copied()), b"");
        output.stdout.contains(&b'\x1b')
    };
    assert!(!coloured(&[]), "a pipe is no terminal");
    assert!(coloured(&[("CLICOLOR_FORCE", "1")]));
    assert!(!coloured(&[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")]));
}

#[test]
fn a_reader_that_goes_away_is_no_failure_worth_a_word() {
    let book = Book::of(&[("lope.toml", ONE_RULE)]);
    for number in 0..2_000 {
        book.write(&format!("{number}.lope"), FAULTY);
    }
    let program = lope_tests::program::lope().display();
    let line = format!("{program} check | head -n 1");
    let output = feed(std::process::Command::new("sh").current_dir(book.folder()).args(["-c", &line]), b"");
    assert_eq!(String::from_utf8_lossy(&output.stdout), "The Short String\n");
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}
