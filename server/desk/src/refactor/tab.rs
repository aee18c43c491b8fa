//! A melody turned into tab: a part of its name below it, in the tune's tuning and capo.

use lope_arrange::{Choice, Level, Setting, Style, Trouble, Wishes, arrange};
use lope_rules::Edit;
use lope_tune::{BarId, Frame, MelodyPart, Tune, spell_note, write};

use super::scene::Scene;
use super::split::new_name;
use super::{Offer, Refactoring};
use crate::Reading;

pub static REFACTORING: Refactoring = Refactoring { kind: "refactor.rewrite.tab", offers };

fn offers(scene: &Scene<'_>) -> Vec<Offer> {
    let melodies = &scene.reading.written().melodies;
    let Some(melody) = melodies.iter().find(|melody| scene.touches(melody.whole())) else {
        return Vec::new();
    };
    let styles = [Style::Plain, Style::DroneRich, Style::Melodic];
    let mut offers: Vec<Offer> = Vec::new();
    for style in styles {
        // Of the other octaves, one style is enough to choose from.
        let shown = if style == Style::Plain { usize::MAX } else { 1 };
        match made(scene, melody, style, Level::Player) {
            Ok(found) => offers.extend(found.into_iter().take(shown)),
            Err(reason) => {
                return vec![Offer { title: title(melody, ""), edits: Err(reason) }];
            }
        }
    }
    offers
}

impl Reading {
    /// The ways to turn `melody`, one of this tune's, into tab, the easiest first.
    ///
    /// # Errors
    /// When there is none.
    pub fn tab_of(&self, melody: &MelodyPart, style: Style, level: Level) -> Result<Vec<Offer>, String> {
        made(&Scene::new(self, melody.heading()), melody, style, level)
    }
}

fn made(scene: &Scene<'_>, melody: &MelodyPart, style: Style, level: Level) -> Result<Vec<Offer>, String> {
    let header = &scene.music.tune.header;
    let wishes = Wishes {
        tuning: Some(header.tuning),
        capo: Some(header.capo),
        tonic: None,
        style,
        level,
        neck: scene.music.neck,
    };
    let settings = arrange(&melody.melody(), &wishes).map_err(|trouble| why_not(melody, trouble))?;
    Ok(settings.iter().map(|setting| offer(scene, melody, setting, style)).collect())
}

fn offer(scene: &Scene<'_>, melody: &MelodyPart, setting: &Setting, style: Style) -> Offer {
    let dressed = match style {
        Style::Plain => "",
        Style::DroneRich => " with drones and brushes",
        Style::Melodic => " without drones",
    };
    let Choice { up, .. } = setting.choice;
    let moved = match up {
        0 => String::new(),
        -12 => ", an octave down".to_owned(),
        12 => ", an octave up".to_owned(),
        _ => format!(", {} octaves {}", up.unsigned_abs() / 12, if up < 0 { "down" } else { "up" }),
    };
    let left_out = match setting.left_out.len() {
        0 => String::new(),
        1 => ", but for 1 ornament".to_owned(),
        ornaments => format!(", but for {ornaments} ornaments"),
    };
    let title = title(melody, &format!("{dressed}{moved}{left_out}"));
    Offer { title, edits: edits(scene, melody, &setting.tune) }
}

fn title(melody: &MelodyPart, how: &str) -> String {
    format!("turn melody {} into tab{how}", melody.name())
}

/// The edits that write `set` as a part below `melody`.
fn edits(scene: &Scene<'_>, melody: &MelodyPart, set: &Tune) -> Result<Vec<Edit>, String> {
    let taken = scene.music.tune.parts().any(|(_, part)| part.name == melody.name());
    let name = if taken || melody.name().is_empty() { new_name(scene) } else { melody.name().to_owned() };
    let mut set = set.clone();
    set.sections.iter_mut().for_each(|section| section.name.clone_from(&name));
    let text = write(&set);
    // What stands above the part are the fields of a tune, which this one has.
    let part = text.find("\npart ").map_or("", |at| &text[at..]).trim_end();
    let part = part.replace('\n', scene.reading.line_break());
    let edits = vec![Edit::insert(
        scene.line_end(melody.whole().end),
        format!("{}{part}", scene.reading.line_break()),
    )];
    let after = scene.after(&edits);
    if frames_of_others(after.tune(), &name) != frames_of_others(scene.music.tune, &name) {
        return Err("the time changes in this melody, and with its tab the parts below would change too: \
                    write the melody below the last part"
            .to_owned());
    }
    Ok(scene.as_tidy(edits, after))
}

/// The frames of the bars of `tune` that are not of the part called `name`.
fn frames_of_others<'t>(tune: &'t Tune, name: &str) -> Vec<&'t Frame> {
    let others = tune.sections.iter().filter(|section| section.name != name);
    others.flat_map(|section| tune.bars_of(section)).map(|(_, bar)| tune.frame(bar)).collect()
}

fn why_not(melody: &MelodyPart, trouble: Trouble) -> String {
    let number = |BarId(bar): BarId| melody.source.bars.get(bar as usize).map_or(0, |place| place.number);
    match trouble {
        Trouble::Empty => "there is no note in it".to_owned(),
        Trouble::OffTheNeck => {
            "not all of its notes are on the neck in this tuning: try another tuning or capo".to_owned()
        }
        Trouble::NoWay { bar, .. } => {
            format!("no hand gets through bar {} in this tuning: try another tuning or capo", number(bar))
        }
        Trouble::NotSo { bar, note, why, .. } => {
            let written = spell_note(&note);
            format!(
                "bar {} asks for `{written}` where it cannot be: {why}; write its pitch there",
                number(bar)
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, check_none, check_refused, offers};

    const TAB: &str = "refactor.rewrite.tab";

    #[test]
    fn a_melody_becomes_a_part_of_its_name() {
        check(
            TAB,
            "tune: T\nmeter: 6/8\n\nmelody $0A x2\nd5 | <G> g4- b4  <D> d5 c5 a4 | g4- f#4  g4- |  # end\n\npart B\n| 3:0- -  3:0- - |\n",
            "turn melody A into tab, an octave down",
            "tune: T\nmeter: 6/8\n\nmelody A x2\nd5 | <G> g4- b4  <D> d5 c5 a4 | g4- f#4  g4- |  # end\n\npart A x2\n1:0 | <G> 3:0 t 2:0  <D> 2:3 p1 3:2 | 3:0 t 4:4  3:0 t |\n\npart B\n| 3:0- -  3:0- - |\n",
        );
        let (_, offers) = offers(TAB, "tune: T\nmeter: 6/8\n\nmelody $0A\n| g3- b3  d4- - |\n");
        let titles: Vec<&str> = offers.iter().map(|offer| offer.title.as_str()).collect();
        assert_eq!(
            titles,
            [
                "turn melody A into tab",
                "turn melody A into tab, an octave up",
                "turn melody A into tab with drones and brushes",
                "turn melody A into tab without drones",
            ]
        );
    }

    #[test]
    fn a_name_that_is_taken_gives_way() {
        check(
            TAB,
            "tune: T\nmeter: 6/8\n\npart A\n| 3:0- -  3:0- - |\n\nmelody A\n| g3- $0b3  d4- - |\n",
            "turn melody A into tab without",
            "tune: T\nmeter: 6/8\n\npart A\n| 3:0- -  3:0- - |\n\nmelody A\n| g3- b3  d4- - |\n\npart B\n| 3:0- 2:0  1:0- - |\n",
        );
    }

    #[test]
    fn what_cannot_be_set_is_said() {
        check_refused(TAB, "tune: T\nmeter: 6/8\n\nmelody $0A\n| _ _ _  _ _ _ |\n", "turn", "no note in it");
        check_refused(TAB, "tune: T\nmeter: 6/8\n\nmelody $0A\n| c1- -  g8- - |\n", "turn", "on the neck");
        let changes = "tune: T\nmeter: 6/8\n\nmelody $0A\n| g3- -  g3- - |\nmeter: 9/8\n| g3- - g3- - g3- - |\n\npart B\n| 3:0- -  3:0- - |\n";
        check_refused(TAB, changes, "turn", "the time changes");
        check_none(
            TAB,
            "tune: T\nmeter: 6/8\n\nmelody A\n| g3- -  g3- - |\n\npart $0B\n| 3:0- -  3:0- - |\n",
        );
    }
}
