//! What goes out as a score comes back as the same tune.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use lope_exchange::musicxml::{Staff, compress, read_tab, write};
use lope_exchange::text;
use lope_sheet::Plain;
use lope_syntax::tunes;
use lope_tests::book::demo;
use lope_tests::tunes::{Trouble, tune};
use lope_tune::{BarContent, Defaults, Header, SectionKind, Tune, play, read};
use proptest::prelude::*;

fn tune_of(text: &str) -> Tune {
    read(text, &lope_syntax::parse(text), &Defaults::default()).tune
}

/// Holds `text` to the law: out and in gives an equal tune, or where a score cannot say all of it, one that
/// plays the same.
fn check(text: &str, staves: &[Staff]) {
    let tune = tune_of(text);
    let score = write(&tune, staves).unwrap();
    let back = read_tab(score.text.as_bytes()).unwrap();
    if says_all(&tune) && !holds_nothing(text) {
        let [theirs, ours] = [&back.tune, &tune].map(lope_tune::write);
        assert_eq!(theirs, ours);
        assert_eq!(back.tune, with_frames_in_use(tune), "{text}");
        assert!(back.remarks.iter().all(|remark| remark.place.is_none()), "{:?}", back.remarks);
        return;
    }
    let sounds = |tune: &Tune| {
        let sounds = play(tune).notes.into_iter().filter(|note| note.pitch.is_some());
        sounds
            .map(|note| (note.onset, note.length, note.pitch, note.string, note.fret, note.how))
            .collect::<Vec<_>>()
    };
    assert_eq!(sounds(&back.tune), sounds(&tune), "{text}\n{}", lope_tune::write(&back.tune));
}

/// `tune` without frames that no bar is in: each of two fields on lines of their own makes one.
fn with_frames_in_use(mut tune: Tune) -> Tune {
    let mut frames = Vec::new();
    let mut last = None;
    for bar in &mut tune.bars {
        if last != Some(bar.frame) {
            last = Some(bar.frame);
            frames.push(tune.frames[bar.frame as usize]);
        }
        bar.frame = frames.len() as u32 - 1;
    }
    Tune { frames, ..tune }
}

/// Whether `text` holds what does not sound, or what is no music: a score has rests there.
fn holds_nothing(text: &str) -> bool {
    let tree = lope_syntax::parse(text);
    !tree.faults().is_empty() || !read(text, &tree, &Defaults::default()).issues.is_empty()
}

/// Whether a score can say all of `tune`: no order of its own, no phrases, every ending for the passes that take
/// it, and every note somewhere on the neck.
fn says_all(tune: &Tune) -> bool {
    let takes_turns = tune.parts().all(|(id, part)| {
        let SectionKind::Part { times, .. } = part.kind else { return false };
        let passes: Vec<u32> = tune.endings(id).flat_map(|(_, passes)| passes.to_vec()).collect();
        passes.is_empty() || times > 1 && passes.iter().copied().eq(1..=times)
    });
    let Header { tuning, capo, ref order, .. } = tune.header;
    order.is_empty()
        && tune.notes.iter().all(|note| tuning.sounds(note.string, note.fret, capo).is_some())
        && takes_turns
        && tune.bars.iter().all(|bar| !matches!(bar.content, BarContent::Phrase { .. }))
        && tune.sections.iter().all(|section| section.kind != SectionKind::Phrase)
}

#[test]
fn the_demo_book_comes_back() {
    let files = demo();
    let texts = tunes_of(&files);
    assert!(texts.len() > files.len(), "a file of several tunes is among them");
    for text in texts {
        check(text, &[Staff::Tablature]);
    }
}

/// The texts of the tunes in `files`.
fn tunes_of(files: &[String]) -> Vec<&str> {
    files.iter().flat_map(|file| tunes(file).into_iter().map(|range| &file[range])).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(80))]
    #[test]
    fn tunes_come_back(seed in any::<u64>(), often in any::<bool>(), notes in any::<bool>()) {
        let trouble = if often { Trouble::Often } else { Trouble::None };
        let staves: &[Staff] = if notes { &[Staff::Notes, Staff::Tablature] } else { &[Staff::Tablature] };
        check(&tune(seed, 900, trouble), staves);
    }
}

#[test]
fn what_tunes_seldom_have_comes_back() {
    for music in [
        "part A x2\n| 3:0 h2 2:0  1:2 p2:0 s3 |\nending 1\n| - 3:2 s4  3:0-- |\nending 2\n| --- 3:0-- |\n",
        "capo: 2\ntuning: aDADE\npart A x3\n1:0 | [4:0 3:2 2:1 1:2!]- t 1:2~ 2:0 3:3^/r | 3:0-- - 5:7 |\n",
        "part A\n| <G> 3:0 t 3:0 <N.C.> \"wait\" _ _ _ | % | <Am7/E> 2:1---<D7>-- |\n",
        "tempo: 63\npart one\n| 3:0-- {1:0 2:0 3:0 1:0 2:0}/3 | {1:0 - 2:0}/2 {1:0 2:0 3:0 1:2 - _}/4 | {1:0 2:0 3:0}/3 _ {_ 2:0} 1:0 |\n",
        "feel: swing 2:1\nby: & < > \"\ntags: a, b\nkind: jig\nnote: one\nnote: two\ngait: x..\nunit: 1/16\npart A\n| 3:0 t 3:0  3:0 t 3:0 3:0 t 3:0  3:0 t 3:0 |\nunit: 1/8\ngait: x.x\n| 3:0 h5 - - 3:0 - |\n",
        "part A x2\n| 3:0- | 3:0-- | 3:0------- | 3:0 |\npart B\n3:0 3:0 | 3:0--------- |\n",
        "part A\n| 3:0-- 3:0-- |\nending 1,2\n| 1:0-- % | 3:0----- |\nending 3\n| % | 2:0-- 3:0-- |\n",
        "part A\n| 3:0----- |\nmeter: 4/4\n| 3:0------- |\nmeter: 7/8\ntempo: 20\n| 3:0------ |\nmeter: 3/2\n| 3:0----------- |\n",
        "order: B A\npart A\n| 3:0 t 3:0  3:0 t 3:0 |\npart B x2\n2:0 | @lick | 1:0----|\nphrase lick\n| 2:1 t 2:0  3:0-- | 3:2----- |\n",
        "part A x3\n| 3:0-- 3:0-- |\nending 1,3\n| 1:0-- 3:0-- |\nending 2\n| 2:0-- 3:0-- |\n",
    ] {
        check(&format!("tune: A Corner\nmeter: 6/8\n{music}"), &[Staff::Tablature]);
    }
}

#[test]
fn a_compressed_score_comes_back() {
    let tune = tune_of("tune: Packed\nmeter: 6/8\n\npart A\n| 3:0 t 2:0  1:0-- |\n");
    let packed = compress(&write(&tune, &[Staff::Tablature]).unwrap().text).unwrap();
    assert_eq!(read_tab(&packed).unwrap().tune, tune);
}

/// Five lines of text with the strokes below say which string sounds when, and how; and the words, chords and marks
/// that stand above.
#[test]
fn the_demo_book_comes_back_from_plain_text() {
    let files = demo();
    let texts = tunes_of(&files);
    assert!(texts.iter().any(|text| text.contains("}/4")) && texts.len() > files.len(), "{}", texts.len());
    let mut labelled = 0;
    for text in texts {
        let tune = tune_of(text);
        let plain =
            lope_sheet::text(&tune, &lope_hand::read(&tune), &Plain { strokes: true, ..Plain::default() });
        let back = text::read_tab(plain.as_bytes(), None).unwrap().tune;
        // Of notes struck together, text does not say which is first.
        let sounds = |tune: &Tune| {
            let mut notes = play(tune).notes;
            notes.sort_by_key(|note| (note.onset, note.string));
            notes.into_iter().map(|it| (it.onset, it.pitch, it.string, it.fret, it.how)).collect::<Vec<_>>()
        };
        assert_eq!(sounds(&back), sounds(&tune), "{plain}");
        // A phrase is written out wherever it is called, and a bar of a part is one bar of the text only without them.
        if tune.bars.iter().all(|bar| bar.content == BarContent::Slots) {
            let labels = |tune: &Tune| {
                let labels = tune.labels.iter().map(|it| (it.bar, it.onset, it.text.clone()));
                labels.collect::<Vec<_>>()
            };
            assert_eq!(labels(&back), labels(&tune), "{plain}");
            let accents = |tune: &Tune| tune.notes.iter().filter(|note| note.marks.accent).count();
            assert_eq!(accents(&back), accents(&tune), "{plain}");
            labelled += tune.labels.len();
        }
    }
    assert!(labelled > 10, "{labelled}");
}
