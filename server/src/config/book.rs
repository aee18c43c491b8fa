use std::path::{Path, PathBuf};
use std::sync::Arc;

use ignore::gitignore::{Gitignore, GitignoreBuilder};
use lope_desk::Settings;

use super::read::{self, Levels};
use super::{DEFAULTS_STAND, FILE_NAME, Mistake};
use crate::files::Reader;

/// A book: the settings of its tunes, and which files belong to it.
#[derive(Default)]
pub struct Book {
    /// The folder that holds `lope.toml`; none where no such file was found.
    pub root: Option<PathBuf>,
    /// The text of that file.
    pub text: String,
    /// The mistakes in it, in its order.
    pub mistakes: Vec<Mistake>,
    /// Nothing of the file could be read, and its one mistake says so.
    pub illegible: bool,
    settings: Arc<Settings>,
    leave_out: Patterns,
    paths: Vec<(Patterns, Levels)>,
}

impl Book {
    /// The book with its `lope.toml` in the folder `root`. A file that cannot be read is a mistake at its start.
    pub fn open(root: &Path) -> Self {
        let mut reader = Reader::default();
        match reader.read(&root.join(FILE_NAME)) {
            Ok(text) => Self::from_toml(root, text),
            Err(problem) => {
                let message = format!("{}; {DEFAULTS_STAND}", problem.message);
                Self {
                    root: Some(root.to_owned()),
                    mistakes: vec![Mistake { span: 0..0, message }],
                    illegible: true,
                    ..Self::default()
                }
            }
        }
    }

    /// The book whose `lope.toml`, in the folder `root`, holds `text`.
    pub fn from_toml(root: &Path, text: &str) -> Self {
        let (draft, mistakes) = read::read(text);
        let mut settings = Settings::default();
        settings.neck = draft.neck;
        settings.defaults = draft.defaults;
        apply(&mut settings, &draft.rules);
        Self {
            root: Some(root.to_owned()),
            text: text.to_owned(),
            mistakes,
            illegible: !draft.is_toml,
            settings: Arc::new(settings),
            leave_out: Patterns::new(&draft.leave_out),
            paths: draft.paths.iter().map(|of| (Patterns::new(&of.patterns), of.rules.clone())).collect(),
        }
    }

    /// This book; where nothing of it could be read, with what `before` says, one that could.
    pub fn or_as_before(self, before: Option<&Arc<Self>>) -> Self {
        let Some(before) = before.filter(|_| self.illegible) else { return self };
        let Self { root, text, mut mistakes, illegible, .. } = self;
        for mistake in &mut mistakes {
            mistake.message = mistake.message.replace(DEFAULTS_STAND, "what it said before stands");
        }
        let (settings, leave_out) = (Arc::clone(&before.settings), before.leave_out.clone());
        Self { root, text, mistakes, illegible, settings, leave_out, paths: before.paths.clone() }
    }

    /// The settings for the file at `path`, counted from the root.
    pub fn settings(&self, path: &Path) -> Arc<Settings> {
        let mut own = None;
        for (patterns, rules) in &self.paths {
            if patterns.hold_or_hold_a_folder_of(path) {
                apply(own.get_or_insert_with(|| Settings::clone(&self.settings)), rules);
            }
        }
        own.map_or_else(|| Arc::clone(&self.settings), Arc::new)
    }

    /// Whether the file or folder at `path`, counted from the root, is left out of the book by name; what lies
    /// in a folder that is left out is not asked for.
    pub fn leaves_out(&self, path: &Path, is_folder: bool) -> bool {
        self.leave_out.hold(path, is_folder)
    }
}

fn apply(settings: &mut Settings, levels: &Levels) {
    for &(rule, level) in levels {
        settings.set_level(rule, level);
    }
}

/// Path patterns, written like the lines of a `.gitignore` file at the book's root.
#[derive(Clone, Default)]
struct Patterns(Option<Gitignore>);

impl Patterns {
    fn new(lines: &[String]) -> Self {
        let mut builder = GitignoreBuilder::new("");
        for line in lines {
            // The reader has reported the lines that are none.
            let _ = builder.add_line(None, line);
        }
        Self(builder.build().ok().filter(|patterns| !patterns.is_empty()))
    }

    fn hold(&self, path: &Path, is_folder: bool) -> bool {
        self.0.as_ref().is_some_and(|patterns| patterns.matched(path, is_folder).is_ignore())
    }

    fn hold_or_hold_a_folder_of(&self, path: &Path) -> bool {
        // A path from the system's root lies outside of every book, and the matcher refuses to be asked.
        let patterns = self.0.as_ref().filter(|_| !path.has_root());
        patterns.is_some_and(|patterns| patterns.matched_path_or_any_parents(path, false).is_ignore())
    }
}

#[cfg(test)]
mod tests {
    use lope_desk::{Level, rule};

    use super::*;

    const TOML: &str = "\
leave-out = [\"drafts/\", \"*.old.lope\"]
[rules]
off-the-neck = \"warning\"
[[paths]]
match = \"slow/\"
rules.off-the-neck = \"hint\"
[[paths]]
match = [\"slow/new/*.lope\", \"/one.lope\"]
rules.off-the-neck = \"off\"
";

    #[test]
    fn of_several_path_patterns_the_last_one_counts() {
        let book = Book::from_toml(Path::new("/book"), TOML);
        assert_eq!(book.mistakes, []);
        let rule = rule("off-the-neck").unwrap();
        let level = |path: &str| book.settings(Path::new(path)).level(rule);
        assert_eq!(level("jig.lope"), Some(Level::Warning));
        assert_eq!(level("slow/air.lope"), Some(Level::Hint));
        assert_eq!(level("slow/new/air.lope"), None);
        assert_eq!(level("one.lope"), None);
        assert_eq!(level("jigs/one.lope"), Some(Level::Warning));
        assert_eq!(level("/book/slow/air.lope"), Some(Level::Warning), "a path that is not the book's");
    }

    #[test]
    fn what_is_left_out_is_known_by_name() {
        let book = Book::from_toml(Path::new("/book"), TOML);
        assert!(book.leaves_out(Path::new("drafts"), true));
        assert!(book.leaves_out(Path::new("jigs/a.old.lope"), false));
        assert!(!book.leaves_out(Path::new("jigs/a.lope"), false));
    }
}
