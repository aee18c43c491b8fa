//! Which voice is most like a melody.

use super::voices::Voice;

/// The place in `voices` of the one most like a melody: that sounds one note at a time, is high, and has not
/// much fewer notes than the others. A judgement, from memory.
pub fn melody_of(voices: &[&Voice]) -> usize {
    let most = voices.iter().map(|voice| voice.notes.len()).max().unwrap_or(1).max(1);
    let likeness = |voice: &&Voice| {
        let notes = voice.notes.len().max(1);
        let together = voice.notes.windows(2).filter(|two| two[1].start == two[0].start).count();
        let alone = 100 - 100 * together / notes;
        let height = voice.notes.iter().map(|note| usize::from(note.pitch.0)).sum::<usize>() / notes;
        let many = 60 * notes.min(most) / most;
        alone + height + many
    };
    // Of voices as likely, the first.
    let likeliest = voices.iter().map(likeness).max().unwrap_or(0);
    voices.iter().position(|voice| likeness(voice) == likeliest).unwrap_or(0)
}

/// The voices in a sentence: `1 Flute (120 notes), 2 (64 notes)`, and how many more there are than a sentence holds.
pub fn listed(voices: &[&Voice]) -> String {
    const MOST: usize = 12;
    let one = |(number, voice): (usize, &&Voice)| {
        let name = voice.name.as_ref().map_or(String::new(), |name| format!(" {name}"));
        format!("{number}{name} ({} notes)", voice.notes.len())
    };
    let more = voices.len().saturating_sub(MOST);
    let more = (more > 0).then(|| format!("{more} more"));
    (1..).zip(voices.iter().take(MOST)).map(one).chain(more).collect::<Vec<_>>().join(", ")
}
