//! Walks a folder and reads every file in it on two threads: the least that checking the folder can cost.
//!
//! Usage: walk FOLDER. Prints how many files and bytes it read.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::{env, fs, io, thread};

fn main() -> io::Result<()> {
    let folder = env::args_os().nth(1).ok_or_else(|| io::Error::other("usage: walk FOLDER"))?;
    let mut files = Vec::new();
    walk(Path::new(&folder), &mut files)?;
    let (next, bytes) = (AtomicUsize::new(0), AtomicUsize::new(0));
    thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                while let Some(file) = files.get(next.fetch_add(1, Ordering::Relaxed)) {
                    bytes.fetch_add(fs::read(file).map_or(0, |read| read.len()), Ordering::Relaxed);
                }
            });
        }
    });
    println!("{} files, {} bytes", files.len(), bytes.into_inner());
    Ok(())
}

fn walk(folder: &Path, files: &mut Vec<PathBuf>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        match entry.file_type()?.is_dir() {
            true => walk(&entry.path(), files)?,
            false => files.push(entry.path()),
        }
    }
    Ok(())
}
