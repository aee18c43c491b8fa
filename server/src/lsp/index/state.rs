use std::collections::{BTreeMap, HashMap, HashSet, btree_map};
use std::mem;
use std::path::Path;
use std::sync::Arc;

use tower_lsp::lsp_types::{
    Diagnostic, DiagnosticRelatedInformation, Location, Range, SymbolInformation, Url,
};

use super::record::{Contents, Record, Report, Stamp, result_of};
use super::scan::Listed;
use super::title::{Group, Key, Placed, Titles};
use crate::lsp::findings::{bare, show};
use crate::lsp::search::among;
use crate::lsp::session::Session;

/// What the index knows.
#[derive(Default)]
pub struct State {
    pub files: BTreeMap<Key, Record>,
    /// What each open file goes by.
    open: HashMap<Url, Key>,
    titles: Titles,
    /// Counts what there is new to say.
    tick: u64,
    /// The tick when somebody last asked who is affected.
    asked: u64,
    /// Open files of which there may be something else to say than there was.
    affected: HashSet<Url>,
    /// A scan is wanted.
    pub wanted: bool,
    /// A scan goes on.
    pub scanning: bool,
    /// The number of the last scan.
    pub round: u64,
}

impl State {
    pub fn open(&mut self, session: &Session, url: &Url, key: Key) {
        let record = self.record(&key, url);
        if record.shown && record.url != *url {
            show(&session.out, &record.url, None, &[(); 0]);
        }
        record.url = url.clone();
        (record.open, record.shown, record.closed) = (true, false, None);
        self.open.insert(url.clone(), key);
    }

    /// Whether the file must be read again.
    pub fn close(&mut self, session: &Session, url: &Url) -> bool {
        let Some(key) = self.open.remove(url).filter(|key| self.open.values().all(|other| other != key))
        else {
            return false;
        };
        let Some(record) = self.files.get_mut(&key) else { return false };
        (record.open, record.closed, record.stamp) = (false, Stamp::of(Path::new(&*key)), None);
        record.contents.diagnostics.clear();
        record.result.clear();
        let listed = record.listed;
        if !listed {
            self.remove(session, &key);
        }
        listed
    }

    pub fn tell(&mut self, session: &Session, url: &Url, titles: Vec<Placed>) -> Vec<(usize, Diagnostic)> {
        let Some(key) = self.open.get(url).cloned() else { return Vec::new() };
        self.put_titles(session, &key, titles);
        self.shared(session, &key)
    }

    /// That tunes of an open file have the titles of earlier ones.
    pub fn shared_of_open(&self, session: &Session, url: &Url) -> Vec<(usize, Diagnostic)> {
        self.open.get(url).map(|key| self.shared(session, key)).unwrap_or_default()
    }

    pub fn take_affected(&mut self) -> (HashSet<Url>, bool) {
        let before = mem::replace(&mut self.asked, self.tick);
        (mem::take(&mut self.affected), before != self.tick)
    }

    /// The files at the paths that `stale` says are to be read again.
    pub fn forget(&mut self, stale: impl Fn(&Path) -> bool) {
        for (key, record) in &mut self.files {
            if stale(Path::new(key)) {
                record.stamp = None;
            }
        }
    }

    pub fn take_stock(&mut self, session: &Session, found: Vec<Listed>) -> Vec<Listed> {
        let keys: HashSet<&Key> = found.iter().map(|listed| &listed.key).collect();
        let unlisted = self.files.iter().filter(|(key, record)| record.listed && !keys.contains(key));
        let unlisted: Vec<Key> = unlisted.map(|(key, _)| Arc::clone(key)).collect();
        for key in unlisted {
            self.unlist(session, &key);
        }
        let unread = found.into_iter().filter(|listed| self.is_unread(session, listed));
        unread.collect()
    }

    pub fn keep(&mut self, session: &Session, listed: Listed, contents: Contents) {
        let Some(record) = self.files.get_mut(&listed.key).filter(|record| !record.open) else { return };
        record.stamp = listed.stamp;
        record.closed = record.closed.filter(|closed| Some(*closed) == listed.stamp);
        record.contents.diagnostics = contents.diagnostics;
        record.contents.headings = contents.headings;
        self.put_titles(session, &listed.key, contents.titles);
        self.renew(session, &listed.key);
    }

    pub fn reports_since(&self, session: &Session, tick: u64) -> (u64, Vec<Report>) {
        let changed = self.files.iter().filter(|(_, record)| record.changed > tick && !record.open);
        (self.tick, changed.filter_map(|(key, _)| self.report(session, key)).collect())
    }

    pub fn report(&self, session: &Session, key: &Key) -> Option<Report> {
        let (key, record) = self.files.get_key_value(key).filter(|(_, record)| !record.open)?;
        let diagnostics = self.diagnostics(session, key);
        Some(Report {
            url: record.url.clone(),
            key: Arc::clone(key),
            diagnostics,
            result: record.result.clone(),
        })
    }

    /// Puts the tunes, parts and phrases of files that are not open whose names fit `query` with those `found`.
    pub fn search(&self, query: &str, found: &mut Vec<SymbolInformation>) {
        let closed = self.files.values().filter(|record| !record.open);
        found.extend(closed.flat_map(|record| among(&record.contents.headings, &record.url, query)));
    }

    fn record(&mut self, key: &Key, url: &Url) -> &mut Record {
        let entry = self.files.entry(Arc::clone(key));
        entry.or_insert_with(|| Record::new(url.clone(), Arc::clone(key)))
    }

    /// Takes note that the file is there; whether it must be read.
    fn is_unread(&mut self, session: &Session, listed: &Listed) -> bool {
        let record = match self.files.entry(Arc::clone(&listed.key)) {
            btree_map::Entry::Occupied(record) => record.into_mut(),
            btree_map::Entry::Vacant(place) => {
                let Ok(url) = Url::from_file_path(&*listed.key) else { return false };
                place.insert(Record::new(url, Arc::clone(&listed.key)))
            }
        };
        record.listed = true;
        let unread = !record.open && (record.stamp.is_none() || record.stamp != listed.stamp);
        if record.group != listed.group {
            self.regroup(session, &listed.key, listed.group.clone());
        }
        unread
    }

    /// Takes note that the file is in no open folder any more.
    fn unlist(&mut self, session: &Session, key: &Key) {
        let Some(record) = self.files.get_mut(key) else { return };
        record.listed = false;
        if record.open {
            self.regroup(session, key, Group::Alone(Arc::clone(key)));
        } else {
            self.remove(session, key);
        }
    }

    fn remove(&mut self, session: &Session, key: &Key) {
        self.put_titles(session, key, Vec::new());
        let Some(record) = self.files.remove(key) else { return };
        self.tick += 1;
        if record.shown {
            show(&session.out, &record.url, None, &[(); 0]);
        }
    }

    fn regroup(&mut self, session: &Session, key: &Key, group: Group) {
        let titles = self.files.get(key).map(|record| record.contents.titles.clone()).unwrap_or_default();
        self.put_titles(session, key, Vec::new());
        let Some(record) = self.files.get_mut(key) else { return };
        record.group = group;
        self.put_titles(session, key, titles);
        self.affect_file(session, key);
    }

    /// Puts `titles` in the place of those the file had. Where another tune is the first of a title then, or
    /// stands elsewhere, what is said of the others that have it is said anew.
    fn put_titles(&mut self, session: &Session, key: &Key, titles: Vec<Placed>) {
        let Some(record) = self.files.get_mut(key) else { return };
        let before = &record.contents.titles;
        if before.len() == titles.len() && before.iter().zip(&titles).all(|(old, new)| old.is_as(new)) {
            return;
        }
        let (before, group) = (before.clone(), record.group.clone());
        let all: Vec<Placed> = before.iter().chain(&titles).cloned().collect();
        let firsts_before = self.firsts(key, &group, &all);
        self.titles.remove(&group, key, &before);
        self.titles.add(&group, key, &titles);
        if let Some(record) = self.files.get_mut(key) {
            record.contents.titles = titles;
        }
        let firsts = self.firsts(key, &group, &all);
        let is_new = |called: &&String| firsts_before.get(*called) != firsts.get(*called);
        let called = firsts_before.keys().chain(firsts.keys()).filter(is_new);
        let files = called.flat_map(|called| self.titles.called(&group, called)).map(|(file, _)| file);
        let others: HashSet<Key> = files.filter(|file| *file != key).cloned().collect();
        for other in others {
            self.affect_file(session, &other);
        }
    }

    /// The first tune that has each of `titles`, as far as other files than that at `key` have it.
    fn firsts(&self, key: &Key, group: &Group, titles: &[Placed]) -> HashMap<String, (Key, usize, Range)> {
        let first = titles.iter().filter_map(|placed| {
            let mut places = self.titles.called(group, placed.called());
            let (file, number) = places.next()?;
            let last = places.next_back().map_or(file, |(last, _)| last);
            let range = self.placed(file, *number).filter(|_| file != key || last != key)?.range();
            Some((placed.called().to_owned(), (Arc::clone(file), *number, range)))
        });
        first.collect()
    }

    /// The title of the tune numbered `number` of the file at `key`.
    fn placed(&self, key: &Key, number: usize) -> Option<&Placed> {
        let titles = &self.files.get(key)?.contents.titles;
        titles.get(titles.binary_search_by_key(&number, |placed| placed.number).ok()?)
    }

    fn affect_file(&mut self, session: &Session, key: &Key) {
        match self.files.get(key) {
            Some(record) if record.open => drop(self.affected.insert(record.url.clone())),
            _ => self.renew(session, key),
        }
    }

    /// Finds anew what there is to say of a file that is not open, and says it where that is new.
    fn renew(&mut self, session: &Session, key: &Key) {
        let diagnostics = self.diagnostics(session, key);
        let Some(record) = self.files.get_mut(key).filter(|record| record.stamp.is_some()) else { return };
        let result = result_of(&diagnostics);
        let is_new = record.result != result;
        if is_new {
            self.tick += 1;
            (record.result, record.changed) = (result, self.tick);
        }
        let is_shown = !diagnostics.is_empty() && record.closed.is_none() && !session.features().pulls;
        if is_shown != record.shown || (is_shown && is_new) {
            show(&session.out, &record.url, None, &diagnostics);
            record.shown = is_shown;
        }
    }

    /// All that is found in a file that is not open.
    fn diagnostics(&self, session: &Session, key: &Key) -> Vec<Diagnostic> {
        let mut all: Vec<_> =
            self.shared(session, key).into_iter().map(|(_, diagnostic)| diagnostic).collect();
        all.extend(
            self.files.get(key).into_iter().flat_map(|record| record.contents.diagnostics.iter().cloned()),
        );
        all
    }

    /// That tunes of a file have the titles of earlier ones.
    fn shared(&self, session: &Session, key: &Key) -> Vec<(usize, Diagnostic)> {
        let Some(record) = self.files.get(key) else { return Vec::new() };
        let shared = record.contents.titles.iter().filter_map(|placed| {
            let (file, number) = self.titles.called(&record.group, placed.called()).next()?;
            let is_itself = file == key && *number == placed.number;
            let first = self.files.get(file).filter(|_| !is_itself)?;
            let range = self.placed(file, *number)?.range();
            let line = format!("line {}", range.start.line + 1);
            let place = if file == key { line } else { format!("{}, {line}", session.books.shown(file)) };
            let mut diagnostic = bare(placed.range(), &placed.same_as(&place)?);
            if session.features().related_places {
                let (location, message) = (Location::new(first.url.clone(), range), "the first".to_owned());
                diagnostic.related_information =
                    Some(vec![DiagnosticRelatedInformation { location, message }]);
            }
            Some((placed.number, diagnostic))
        });
        shared.collect()
    }
}
