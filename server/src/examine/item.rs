use lope_desk::{Entry, Finding, Level, Mend};

use crate::config::{MISTAKE, Mistake};
use crate::report::{Change, Excerpt, Item, Remark, Repair, Ruler, Stretch};

/// All that is said of `finding`, made in the tune of `entry`. The ruler lies along the file.
pub fn item(entry: Entry<'_>, finding: &Finding, ruler: &mut Ruler<'_>) -> Item {
    let at = ruler.stretch(entry.bytes(finding.span));
    let mut repair = |mend: Mend| Repair {
        title: mend.title,
        safe: mend.safe,
        edits: mend
            .edits
            .into_iter()
            .map(|edit| Change { at: ruler.stretch(entry.bytes(edit.span)), text: edit.text })
            .collect(),
    };
    let mends = entry.reading.mends(finding).into_iter().map(&mut repair).collect();
    let related = finding
        .related
        .iter()
        .map(|other| Remark { at: ruler.stretch(entry.bytes(other.span)), message: other.message.clone() });
    let related = related.collect();
    let bare = bare(finding, entry.reading.tune().header.title.clone(), at, Excerpt::new(ruler, at));
    Item { mends, related, ..bare }
}

/// What is said of a finding that has no mends and no other places.
pub fn bare(finding: &Finding, tune: String, at: Stretch, excerpt: Excerpt) -> Item {
    Item {
        rule: finding.rule.rule().name,
        level: finding.level,
        message: finding.message.clone(),
        tune,
        place: Some(finding.place.clone()),
        at,
        excerpt,
        mends: Vec::new(),
        related: Vec::new(),
    }
}

/// What is said of a mistake in `lope.toml`. The ruler lies along that file.
pub fn mistake(mistake: &Mistake, ruler: &mut Ruler<'_>) -> Item {
    let at = ruler.stretch(mistake.span.clone());
    Item {
        rule: MISTAKE,
        level: Level::Error,
        message: mistake.message.clone(),
        tune: String::new(),
        place: None,
        at,
        excerpt: Excerpt::new(ruler, at),
        mends: Vec::new(),
        related: Vec::new(),
    }
}
