use super::*;
use crate::NodeId;

/// The tree as nested kinds, and the faults with the text they mark.
fn show(text: &str) -> (String, Vec<String>) {
    fn node(tree: &Tree, id: NodeId, into: &mut String) {
        into.push_str(&format!("{:?}", tree.node(id).kind));
        let below: Vec<NodeId> = tree.children(id).collect();
        if !below.is_empty() {
            into.push('(');
            for (at, child) in below.into_iter().enumerate() {
                if at > 0 {
                    into.push(' ');
                }
                node(tree, child, into);
            }
            into.push(')');
        }
    }
    let tree = parse(text);
    let mut shown = String::new();
    node(&tree, tree.root(), &mut shown);
    let faults =
        tree.faults().iter().map(|fault| format!("{:?} {:?}", fault.kind, fault.span.of(text))).collect();
    (shown, faults)
}

#[track_caller]
fn check(text: &str, expected: &str) {
    let (shown, faults) = show(text);
    assert_eq!(shown, expected);
    assert_eq!(faults, [""; 0]);
}

#[track_caller]
fn check_faults(music: &str, expected: &[&str]) {
    assert_eq!(show(&format!("tune: T\npart A\n{music}\n")).1, expected);
}

#[test]
fn a_tune_is_fields_then_parts_with_endings() {
    check(
        "tune: T\npart A x2\n1:0 | 2:0 % |\n ending 1\n| _ |\nphrase b\n@c |".replace(" %", "").as_str(),
        "Tune(Field Part(Heading Bar(Note) BarLine Bar(Note) BarLine Ending(Heading BarLine Bar(Silence) BarLine)) \
         Phrase(Heading Bar(PhraseCall) BarLine))",
    );
}

#[test]
fn groups_nest_and_marks_belong_to_notes() {
    check(
        "part A\n{1:0!/i [2:0 t] {h2 -}}/2 \"x\" <G>",
        "Tune(Part(Heading Bar(Brace(Note Brush(Note Note) Brace(Note Hold)) Words Chord)))",
    );
}

#[test]
fn a_field_between_bars_is_the_parts() {
    check(
        "part A\n| 1:0 |\nmeter: 9/8\n| 1:0\ngait: x.x\n 2:0 |",
        "Tune(Part(Heading BarLine Bar(Note) BarLine Field BarLine Bar(Note Field Note) BarLine))",
    );
}

#[test]
fn one_slip_is_one_fault() {
    check_faults("1:0 these are words | 2:0", &["Unknown \"these are words\""]);
    check_faults("{1:0 2:0 | 3:0 |", &["OpenBrace \"{\""]);
    check_faults("[1:0 2:0 | 3:0 |", &["OpenBrush \"[\""]);
    check_faults("1:0 } 2:0", &["StrayClose \"}\""]);
    check_faults("{ } [ ]", &["Empty \"{ }\"", "Empty \"[ ]\""]);
    check_faults(
        "1: 2 h t3 p2:",
        &[
            "NoFret \"1:\"",
            "NoFret \"2\"",
            "SlurWithoutFret \"h\"",
            "NoFret \"t3\"",
            "SlurWithoutFret \"p2:\"",
        ],
    );
    check_faults("1:0 ! /2", &["StrayMark \"!\"", "StrayMark \"/2\""]);
    check_faults("1:0 \"open | 2:0", &["OpenWords \"\\\"open | 2:0\""]);
    check_faults("1:0 <G | 2:0", &["OpenChord \"<G \""]);
    check_faults("[1:0 - 2:0]", &["NotInBrush \"-\""]);
    check_faults("1:0 % | % % | @a @b | @a 1:0", &["NotAlone \"%\"", "NotAlone \"%\"", "NotAlone \"@a\""]);
}

#[test]
fn headings_say_what_they_miss() {
    assert_eq!(show("part\n1:0").1, ["BadHeading \"part\""]);
    assert_eq!(show("part A twice\n1:0").1, ["BadHeading \"part A twice\""]);
    assert_eq!(show("part A\nending one\n1:0").1, ["BadHeading \"ending one\""]);
    assert_eq!(show("ending 1\n1:0").1, ["EndingOutsidePart \"ending\""]);
    assert_eq!(show("1:0 oops | 2:0").1, ["MusicOutsidePart \"1:0\""]);
}

#[test]
fn braces_too_deep_to_play_are_one_fault_however_deep() {
    let deep = format!("part A\n{}1:0{} | 2:0 |", "{".repeat(30_000), "}".repeat(30_000));
    let (tree, faults) = show(&deep);
    assert_eq!(faults, ["TooDeep \"{\""]);
    assert!(tree.ends_with("BarLine Bar(Note) BarLine))"), "what follows is still read");
    assert!(show(&format!("part A\n{}", "{".repeat(30_000))).1.len() <= 10);
}
