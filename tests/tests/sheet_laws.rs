//! Laws of the sheet, held by tunes of all kinds, clean, troubled and broken.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeMap;

use lope_hand::{Fell, Hand};
use lope_sheet::frame::{Anchor, Group, Ink, Item, Page, Part, Pen, Step, Text};
use lope_sheet::{Paper, Plain, Remark, Sheet, Wishes, font, lay, svg, text};
use lope_tests::soup;
use lope_tests::tunes::{Trouble, tune};
use lope_tune::{BarContent, BarId, Defaults, EventId, EventKind, How, Tune, play, read};
use proptest::prelude::*;

fn music(text: &str) -> (Tune, Hand) {
    let tune = read(text, &lope_syntax::parse(text), &Defaults::default()).tune;
    let hand = lope_hand::read(&tune);
    (tune, hand)
}

fn wishes() -> impl Strategy<Value = Wishes> {
    let paper = prop_oneof![
        Just(Paper::A4),
        Just(Paper::Letter),
        (280.0..1400.0_f32).prop_map(|width| Paper::Endless(width.round())),
    ];
    (paper, any::<bool>(), any::<bool>(), any::<bool>(), 0..4_u32, any::<bool>()).prop_map(
        |(paper, large, strokes, count, remarks, spelled_out)| Wishes {
            paper,
            large,
            strokes,
            count,
            passage: None,
            spelled_out,
            remarks: (0..remarks)
                .map(|number| Remark {
                    bar: BarId(number * 3 % 5),
                    event: None,
                    text:
                        "a remark that goes on for a while, so that it is longer than a narrow page is wide"
                            .to_owned(),
                })
                .collect(),
        },
    )
}

fn texts() -> impl Strategy<Value = String> {
    let trouble = prop::sample::select(vec![Trouble::None, Trouble::Often]);
    prop_oneof![
        3 => (any::<u64>(), 300..2500_usize, trouble).prop_map(|(seed, size, trouble)| tune(seed, size, trouble)),
        1 => soup::text().prop_map(|soup| format!("tune: Soup\nmeter: 4/4\npart A\n{soup}")),
    ]
}

/// Every item that is no group, with the groups around it.
fn leaves<'p>(items: &'p [Item], around: &mut Vec<Part>, take: &mut impl FnMut(&[Part], &'p Item)) {
    for item in items {
        match item {
            Item::Group(Group { part, items, .. }) => {
                around.push(*part);
                leaves(items, around, take);
                around.pop();
            }
            other => take(around, other),
        }
    }
}

/// Left, top, right and bottom of a text, as tall as its capitals.
fn edges_of(text: &Text) -> [f32; 4] {
    let wide = font::width(text.face, text.size, &text.words);
    let left = match text.anchor {
        Anchor::Start => text.at.x,
        Anchor::Middle => text.at.x - wide / 2.0,
        Anchor::End => text.at.x - wide,
    };
    [left, text.at.y - text.size * font::CAPITAL, left + wide, text.at.y]
}

fn edges(item: &Item) -> [f32; 4] {
    let around = |points: &[(f32, f32)]| {
        let start = [f32::MAX, f32::MAX, f32::MIN, f32::MIN];
        points.iter().fold(start, |[l, t, r, b], (x, y)| [l.min(*x), t.min(*y), r.max(*x), b.max(*y)])
    };
    match item {
        Item::Text(text) => edges_of(text),
        Item::Line(line) => around(&[(line.from.x, line.from.y), (line.to.x, line.to.y)]),
        Item::Shape(shape) => {
            let ends = shape.steps.iter().filter_map(|step| match step {
                Step::Move(to) | Step::Line(to) | Step::Curve(_, _, to) => Some((to.x, to.y)),
                Step::Close => None,
            });
            around(&ends.collect::<Vec<_>>())
        }
        Item::Group(_) => [0.0; 4],
    }
}

fn everything_is_on_its_page(page: &Page) {
    leaves(&page.items, &mut Vec::new(), &mut |around, item| {
        let [left, top, right, bottom] = edges(item);
        let inside =
            left >= -0.01 && top >= -0.01 && right <= page.width + 0.01 && bottom <= page.height + 0.01;
        assert!(inside, "{around:?} {item:?} on {} by {}", page.width, page.height);
    });
}

fn no_words_overlap(page: &Page) {
    let mut texts = Vec::new();
    leaves(&page.items, &mut Vec::new(), &mut |_, item| {
        if let Item::Text(text) = item {
            texts.push((edges_of(text), text));
        }
    });
    texts.sort_by(|(one, _), (other, _)| one[1].total_cmp(&other[1]));
    for (at, (one, text)) in texts.iter().enumerate() {
        for (other, beside) in texts[at + 1..].iter().take_while(|(other, _)| other[1] < one[3]) {
            let overlap = one[0] + 0.2 < other[2] && other[0] + 0.2 < one[2] && other[1] + 0.4 < one[3];
            assert!(!overlap, "{text:?} {beside:?}");
        }
    }
}

/// The events that each drawn bar shows.
fn shown(sheet: &Sheet) -> BTreeMap<u32, Vec<u32>> {
    let mut shown: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    fn walk(items: &[Item], bar: Option<u32>, shown: &mut BTreeMap<u32, Vec<u32>>) {
        for item in items {
            let Item::Group(group) = item else { continue };
            let mut inside = bar;
            match (group.part, bar) {
                (Part::Bar(number), _) => {
                    shown.entry(number).or_default();
                    inside = Some(number);
                }
                (Part::Event(event), Some(bar)) => shown.entry(bar).or_default().push(event),
                _ => {}
            }
            walk(&group.items, inside, shown);
        }
    }
    sheet.pages.iter().for_each(|page| walk(&page.items, None, &mut shown));
    shown
}

/// In every bar in playing, the events that are drawn where it is said to be drawn are its own, or none where
/// the sign for the bar before stands.
fn each_event_is_drawn_once(tune: &Tune, sheet: &Sheet) {
    let shown = shown(sheet);
    for (number, bar) in play(tune).bars.iter().zip(&sheet.played) {
        let Some(place) = bar else { continue };
        let written = &tune.bars[number.bar.index()];
        let is_shown = |event: &u32| {
            let event = &tune.events[*event as usize];
            event.kind == EventKind::Notes
        };
        let mut expected: Vec<u32> = written.events.clone().filter(is_shown).collect();
        let mut found = shown[place].clone();
        found.retain(|event| is_shown(event));
        found.sort_unstable();
        expected.sort_unstable();
        assert!(found == expected || found.is_empty(), "bar {place}: {found:?} {expected:?}");
    }
}

fn the_lane_says_what_the_hand_does(tune: &Tune, hand: &Hand, sheet: &Sheet) {
    for page in &sheet.pages {
        leaves(&page.items, &mut Vec::new(), &mut |around, item| {
            let (Some(Part::Event(event)), Item::Shape(shape)) = (around.last(), item) else { return };
            let id = EventId(*event);
            let written = &tune.events[*event as usize];
            let thumbed = tune.notes_of(written).iter().any(|note| note.how == How::Thumb);
            let expected = match (hand.motion(id).fell, thumbed) {
                (Fell::Struck, _) => Ink::Fall,
                (_, true) => Ink::Thumb,
                (_, false) => Ink::Left,
            };
            if matches!(shape.ink, Ink::Fall | Ink::Thumb | Ink::Left) {
                assert_eq!(shape.ink, expected, "{written:?}");
            }
        });
    }
    // Falls that sound nothing are hollow, and belong to no event.
    let mut hollow: BTreeMap<u32, usize> = BTreeMap::new();
    for page in &sheet.pages {
        leaves(&page.items, &mut Vec::new(), &mut |around, item| {
            if let (Some(Part::Bar(bar)), Item::Shape(shape)) = (around.last(), item)
                && shape.ink == Ink::Fall
            {
                assert!(matches!(shape.pen, Pen::Stroke(_)));
                *hollow.entry(*bar).or_default() += 1;
            }
        });
    }
    let shown = shown(sheet);
    for (played, place) in play(tune).bars.iter().zip(&sheet.played) {
        let Some(place) = place.filter(|place| shown[place].len() > 1) else { continue };
        let bar = &tune.bars[played.bar.index()];
        let sounding =
            |at| tune.events_of(bar).iter().any(|event| event.onset == at && event.kind == EventKind::Notes);
        let falls = hand.falls_at(tune, played.bar);
        let silent = falls.iter().filter(|at| !sounding(**at)).count();
        assert_eq!(hollow.get(&place).copied().unwrap_or(0), silent, "bar {place}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]
    #[test]
    fn sheets_keep_their_laws(text in texts(), wishes in wishes()) {
        let (tune, hand) = music(&text);
        let sheet = lay(&tune, &hand, &wishes);
        for page in &sheet.pages {
            everything_is_on_its_page(page);
            no_words_overlap(page);
        }
        each_event_is_drawn_once(&tune, &sheet);
        if wishes.strokes {
            the_lane_says_what_the_hand_does(&tune, &hand, &sheet);
        }
        prop_assert_eq!(sheet.played.len(), play(&tune).bars.len());
    }

    #[test]
    fn plain_text_lines_up(text_of in texts(), width in 24..120_usize, extras in any::<bool>()) {
        let (tune, hand) = music(&text_of);
        let written = text(&tune, &hand, &Plain { width, strokes: extras, count: extras, ..Plain::default() });
        let strings: Vec<&str> = written.lines().filter(|line| line.contains('|') && line.contains("-")).collect();
        for line in &strings {
            prop_assert!(line.chars().count() <= width, "{}", line);
        }
    }
}

/// Tunes that are as ugly as tunes get.
fn ugly() -> Vec<String> {
    let bar = "[1:22 2:22 3:22 4:22 5:22] ".repeat(8);
    let wide = format!("tune: All\nmeter: 4/4\npart A\n| {bar}|\n");
    let long = format!("tune: Long\nmeter: 4/4\npart A\n| {}|\n", "1:10 t 3:2 h4 ".repeat(300));
    let title = "潮汐と灯台 مد وجزر 🪕 <b>&amp;</b> ".repeat(9);
    let scripts = format!(
        "tune: {title}\nkind: {title}\nby: {title}\nnote: {title}\nmeter: 6/8\npart {}\n| \"{title}\" <{}> 3:0 t 3:0 |",
        "長".repeat(99),
        "G".repeat(200)
    );
    let none = ["", "tune: Nothing\n", "tune: Nothing\nmeter: 6/8\npart A\n", "part A\n| |\n", "nonsense"];
    let calls =
        "tune: Circle\nmeter: 4/4\nphrase a\n| @b | 1:0 |\nphrase b\n| @a | 2:0 |\npart A\n| @a | @c | % |\n"
            .to_owned();
    let doubling: String = (0..16).map(|n| format!("phrase p{n}\n| @p{} | @p{} |\n", n + 1, n + 1)).collect();
    let doubling =
        format!("tune: Doubling\nmeter: 4/4\n{doubling}phrase p16\n| 1:0 t 1:0 |\npart A\n| @p0 |\n");
    let meters = "tune: M\nmeter: 99/32\npart A\n| 1:0 |\nmeter: 1/1\n| 1:0 |\nmeter: 7/8\ngait: xx.\ntempo: 20\n| 1:0 |\n".to_owned();
    let fine = "tune: F\nmeter: 4/4\npart A\n| {1:0 t 1:0 t 1:0 t 1:0}/1 {{{1:0 t} t} t} {1:0 2:0 3:0 4:0 1:0}/3 |\n".to_owned();
    none.into_iter().map(str::to_owned).chain([wide, long, scripts, calls, doubling, meters, fine]).collect()
}

#[test]
fn ugly_tunes_keep_them_too() {
    for source in ugly() {
        let (tune, hand) = music(&source);
        for paper in [Paper::A4, Paper::Letter, Paper::Endless(320.0)] {
            for large in [false, true] {
                let sheet = lay(&tune, &hand, &Wishes { paper, large, ..Wishes::default() });
                assert!(!sheet.pages.is_empty());
                for page in &sheet.pages {
                    everything_is_on_its_page(page);
                    no_words_overlap(page);
                }
                each_event_is_drawn_once(&tune, &sheet);
            }
        }
        text(&tune, &hand, &Plain::default());
    }
}

#[test]
fn ten_thousand_bars_are_drawn() {
    let bars = "3:0 t 3:0 1:0- 2:0 | ".repeat(10_000);
    let (tune, hand) = music(&format!("tune: Long\nmeter: 6/8\npart A\n| {bars}\n"));
    let sheet = lay(&tune, &hand, &Wishes::default());
    assert_eq!(sheet.played.len(), 10_000);
    assert!(sheet.played.iter().all(Option::is_some));
    assert!((200..500).contains(&sheet.pages.len()), "{}", sheet.pages.len());
    sheet.pages.iter().for_each(everything_is_on_its_page);
}

#[test]
fn a_string_that_is_there_twice_leaves_room_for_its_fingers() {
    let (tune, hand) =
        music("tune: Twice\nmeter: 6/8\npart A\n| [2:1^/m 2:1 1:4]- t  [2:1/m 1:0 1:2]- 2:1 |\n");
    let sheet = lay(&tune, &hand, &Wishes { large: true, ..Wishes::default() });
    sheet.pages.iter().for_each(no_words_overlap);
}

#[test]
fn what_is_said_of_a_call_is_marked_where_what_it_calls_begins() {
    let (tune, hand) = music(
        "tune: Calls\nmeter: 6/8\nphrase inner\n| 3:0 t 3:0 1:0- - | 2:0 t 2:0 1:0- - |\nphrase outer\n| @inner |\n\
         part A\n| 1:0 t 1:0 1:0- - | @outer | @inner |\n",
    );
    let calls =
        tune.bars.iter().enumerate().filter(|(_, bar)| matches!(bar.content, BarContent::Phrase { .. }));
    let remark =
        |(bar, _): (usize, _)| Remark { bar: BarId(bar as u32), event: None, text: "said".to_owned() };
    let remarks: Vec<Remark> = calls.map(remark).collect();
    let sheet = lay(&tune, &hand, &Wishes { remarks, spelled_out: true, ..Wishes::default() });
    let mut marks = Vec::new();
    leaves(&sheet.pages[0].items, &mut Vec::new(), &mut |around, item| {
        if let ([.., Part::Bar(bar), Part::Finding(mark)], Item::Text(_)) = (around, item) {
            marks.push((*mark, *bar));
        }
    });
    marks.sort_unstable();
    // Written are the call in `outer`, and those of `outer` and `inner` in the part, whose bars are drawn as 1 to 4.
    assert_eq!(marks, [(0, 1), (1, 1), (2, 3)]);
}

#[test]
fn a_gap_is_marked_and_the_rest_is_drawn() {
    let (tune, hand) =
        music("tune: Gap\nmeter: 6/8\npart A\n| 3:0 t 3:0 1:0- - | @nowhere | 2:0 t 2:0 1:0- - |\n");
    let sheet = lay(&tune, &hand, &Wishes::default());
    let picture = svg(&sheet, &sheet.pages[0]);
    assert!(picture.contains("@nowhere cannot be read"));
    assert_eq!(shown(&sheet).values().map(Vec::len).collect::<Vec<_>>(), [4, 0, 4]);
    assert_eq!(sheet.played, [Some(0), Some(2)]);
}
