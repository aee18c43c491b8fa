use lope_tune::write;

use super::read_tab;

/// A note on the neck, as `letter octave string fret length` in sixteenths, with more elements beside it.
fn note(place: (&str, u8, u8, u8, u8), before: &str, technical: &str, notations: &str) -> String {
    let (letter, octave, string, fret, length) = place;
    let (step, alter) = letter.split_at(1);
    let alter = if alter == "#" { "<alter>1</alter>" } else { "" };
    let duration = if length == 0 { String::new() } else { format!("<duration>{length}</duration>") };
    format!(
        "<note>{before}<pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>{duration}<notations>{notations}\
         <technical><string>{string}</string><fret>{fret}</fret>{technical}</technical></notations></note>\n"
    )
}

fn plain(place: (&str, u8, u8, u8, u8)) -> String {
    note(place, "", "", "")
}

/// One measure in 6/8 on a tablature staff with these details.
fn score(details: &str, notes: &str) -> String {
    format!(
        "<score-partwise><part-list><score-part id=\"P1\"><part-name>B</part-name></score-part></part-list><part id=\"P1\">\
         <measure number=\"1\"><attributes><divisions>4</divisions><time><beats>6</beats><beat-type>8</beat-type></time>\
         <clef><sign>TAB</sign></clef>{details}</attributes>{notes}</measure></part></score-partwise>"
    )
}

/// The music that is read, and what is said of it.
fn reads(details: &str, notes: &[String]) -> (String, Vec<String>) {
    let tab = read_tab(score(details, &notes.concat()).as_bytes()).unwrap();
    let text = write(&tab.tune);
    let music = text.lines().last().unwrap_or_default().to_owned();
    (music, tab.remarks.iter().map(ToString::to_string).collect())
}

#[test]
fn without_a_word_of_the_thumb_the_gait_tells_it() {
    let notes = [
        plain(("G", 3, 3, 0, 2)),
        plain(("G", 4, 5, 0, 2)),
        plain(("B", 3, 2, 0, 2)),
        plain(("D", 4, 1, 0, 2)),
        plain(("B", 3, 2, 0, 2)),
        plain(("G", 4, 5, 0, 2)),
    ];
    let (music, said) = reads("", &notes);
    // The last is the thumb on a fall: that is a matter for the check, and stays.
    assert_eq!(music, "| 3:0 t 2:0  1:0 t2:0 t |");
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said[0].contains("the file names no tuning; by its notes it is gDGBD"), "{said:?}");
    assert!(said[1].contains("does not say what the thumb plays; by the gait it plays 3 notes"), "{said:?}");
}

#[test]
fn slurs_slides_and_curves_are_the_left_hands() {
    let start = "<slur type=\"start\"/>";
    let notes = [
        note(("G", 3, 3, 0, 2), "", "<hammer-on type=\"start\">H</hammer-on>", ""),
        note(("A", 3, 3, 2, 2), "", "<hammer-on type=\"stop\"/>", ""),
        note(("B", 3, 2, 0, 2), "", "", start),
        note(("C", 4, 2, 1, 2), "", "", "<slur type=\"stop\"/>"),
        note(("D", 4, 2, 3, 2), "", "<pluck>p</pluck>", "<slide type=\"stop\"/>"),
        note(("G", 4, 5, 0, 2), "", "<pluck>p</pluck>", ""),
    ];
    let (music, said) = reads("", &notes);
    assert_eq!(music, "| 3:0 h2 2:0  h1 s3 t |");
    assert!(said.iter().any(|said| said.contains("1 notes under a curve")), "{said:?}");
}

#[test]
fn voices_go_into_one_row_and_notes_together_are_a_brush() {
    let notes = [
        plain(("G", 3, 3, 0, 6)),
        note(("B", 3, 2, 0, 6), "<chord/>", "", ""),
        plain(("D", 4, 1, 0, 6)),
        "<backup><duration>12</duration></backup><forward><duration>2</duration></forward>".to_owned(),
        plain(("G", 4, 5, 0, 2)),
    ];
    assert_eq!(reads("", &notes).0, "| [3:0 2:0] t _  1:0- - |");
}

#[test]
fn grace_notes_take_their_time_from_a_neighbour() {
    let lead = note(("G", 3, 3, 0, 0), "<grace/>", "", "");
    let notes = [
        lead.clone(),
        note(("A", 3, 3, 2, 4), "", "<hammer-on type=\"stop\"/>", ""),
        plain(("B", 3, 2, 0, 2)),
        note(("C", 4, 2, 1, 0), "<grace/>", "", ""),
        plain(("D", 4, 1, 0, 6)),
    ];
    let (music, said) = reads("", &notes);
    assert_eq!(music, "| {3:0 h2- -}- {2:0- - 2:1}  1:0- - |");
    assert!(said.iter().any(|said| said.contains("a grace note gets a quarter of a slot")), "{said:?}");
}

#[test]
fn the_drone_may_be_counted_from_its_own_peg_and_the_capo_is_kept() {
    let details = "<staff-details><staff-lines>5</staff-lines><capo>2</capo></staff-details>";
    let notes = [plain(("A", 3, 3, 0, 6)), plain(("B", 4, 5, 2, 6))];
    let (music, said) = reads(details, &notes);
    assert_eq!(music, "| 3:0- -  t5:7- - |");
    assert!(said.iter().any(|said| said.contains("counted from its own peg")), "{said:?}");
}

#[test]
fn what_is_no_banjo_tablature_is_refused() {
    let says = |text: &str| read_tab(text.as_bytes()).unwrap_err().to_string();
    let six = "<staff-details><staff-lines>6</staff-lines><staff-tuning line=\"1\"><tuning-step>E</tuning-step>\
               <tuning-octave>2</tuning-octave></staff-tuning></staff-details>";
    let six = score(six, &plain(("G", 3, 3, 0, 12)));
    assert_eq!(
        says(&six),
        "line 1: this is tablature for 6 strings, and a banjo has five: without --as-written it is read as a melody"
    );
    let melody =
        score("", "<note><pitch><step>G</step><octave>4</octave></pitch><duration>12</duration></note>");
    assert!(says(&melody).contains("there is no tablature in this score"), "{}", says(&melody));
}
