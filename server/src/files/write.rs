//! Writing whole files: the new text is there in full, or the old one is still there untouched.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

use super::{Problem, reason};

/// Puts `text` in the place of what the file at `path` holds.
///
/// A link is followed to its file. The new text is written beside that file, pushed to the disk and
/// moved over it, with the old file's permissions and, where the system lets us, its owner. Should
/// anything fail on the way, the file still holds what it held and nothing is left beside it.
pub fn write_whole(path: &Path, text: &str) -> Result<(), Problem> {
    let failed = |error: &io::Error| {
        Problem::new(path, format!("cannot write it: {}; it is as it was", reason(error)))
    };
    let target = fs::canonicalize(path).map_err(|error| failed(&error))?;
    let kept = fs::metadata(&target).map_err(|error| failed(&error))?;
    if kept.permissions().readonly() {
        return Err(Problem::new(
            path,
            "is read-only, so it is left as it was; allow writing to it and try again",
        ));
    }
    // Moving a file over another asks only for a folder that can be written; this asks for the file too.
    OpenOptions::new().write(true).open(&target).map_err(|error| failed(&error))?;
    replace(&target, &kept, text).map_err(|error| failed(&error))
}

fn replace(target: &Path, kept: &fs::Metadata, text: &str) -> io::Result<()> {
    let folder = target.parent().ok_or(io::ErrorKind::NotFound)?;
    let mut fresh = tempfile::Builder::new().prefix(".lope-").suffix(".new").tempfile_in(folder)?;
    fresh.write_all(text.as_bytes())?;
    keep_owner(fresh.as_file(), kept);
    fresh.as_file().set_permissions(kept.permissions())?;
    fresh.as_file().sync_all()?;
    fresh.persist(target).map_err(|error| error.error)?;
    // The move is on the disk once the folder is. The text is safe either way, so a system that cannot
    // push a folder to the disk is no failure.
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
    Ok(())
}

/// Gives the fresh file the owner of the old one. Only the superuser may give a file away; everybody else
/// owns the fresh file, as with any editor that writes beside.
#[cfg(unix)]
fn keep_owner(fresh: &File, kept: &fs::Metadata) {
    use std::os::unix::fs::{MetadataExt, fchown};
    let both = fchown(fresh, Some(kept.uid()), Some(kept.gid()));
    if both.is_err() {
        let _ = fchown(fresh, None, Some(kept.gid()));
    }
}

#[cfg(not(unix))]
fn keep_owner(_: &File, _: &fs::Metadata) {}

/// Puts what `fill` writes in the place of the file at `path`, which need not be there yet. The file is written
/// beside it and moved there when it is whole, so a failure leaves nothing half-written; an old file's permissions
/// stay. The folder it is in must be there.
///
/// Answers what `fill` did, or why nothing could be written.
pub fn put<T>(path: &Path, fill: impl FnOnce(&mut File) -> io::Result<T>) -> Result<T, Problem> {
    let failed = |error: io::Error| Problem::system(path, "write it", &error);
    // Where nothing is yet, or a link leads nowhere, the name is the target.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let kept = fs::metadata(&target).ok();
    if kept.as_ref().is_some_and(|kept| !kept.is_file()) {
        return Err(Problem::new(path, "is there and is no file; choose another name"));
    }
    let folder = target.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut beside = tempfile::Builder::new();
    beside.prefix(".lope-").suffix(".new");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // What any new file gets; the system takes off what the user's mask says.
        beside.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut fresh = beside.tempfile_in(folder).map_err(failed)?;
    let done = fill(fresh.as_file_mut()).map_err(failed)?;
    if let Some(kept) = kept {
        keep_owner(fresh.as_file(), &kept);
        fresh.as_file().set_permissions(kept.permissions()).map_err(failed)?;
    }
    fresh.persist(&target).map_err(|error| failed(error.error))?;
    Ok(done)
}

/// Writes a file that is not there yet, with the folders above it.
pub fn create(path: &Path, text: &str) -> Result<(), Problem> {
    let failed = |error: io::Error| Problem::system(path, "write it", &error);
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(failed)?;
    }
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(failed)?;
    file.write_all(text.as_bytes()).map_err(failed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(unix)]
    #[test]
    fn permissions_and_owner_stay() {
        use std::os::unix::fs::{MetadataExt, PermissionsExt, chown};
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("a.lope");
        fs::write(&file, "old").unwrap();
        fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).unwrap();
        // Giving a file away takes the superuser; for anybody else the owner is the same in any case.
        let _ = chown(&file, Some(1), Some(1));
        let before = fs::metadata(&file).unwrap();
        write_whole(&file, "new").unwrap();
        let after = fs::metadata(&file).unwrap();
        assert_eq!(fs::read_to_string(&file).unwrap(), "new");
        assert_eq!(after.mode(), before.mode());
        assert_eq!((after.uid(), after.gid()), (before.uid(), before.gid()));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_its_file_gets_the_text() {
        let folder = tempfile::tempdir().unwrap();
        let (file, link) = (folder.path().join("tunes/a.lope"), folder.path().join("a.lope"));
        create(&file, "old").unwrap();
        std::os::unix::fs::symlink("tunes/a.lope", &link).unwrap();
        write_whole(&link, "new").unwrap();
        assert_eq!(fs::read_link(&link).unwrap(), Path::new("tunes/a.lope"));
        assert_eq!(fs::read_to_string(&file).unwrap(), "new");
    }

    #[test]
    fn a_read_only_file_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("a.lope");
        fs::write(&file, "old").unwrap();
        let mut permissions = fs::metadata(&file).unwrap().permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&file, permissions).unwrap();
        let problem = write_whole(&file, "new").unwrap_err();
        assert!(problem.message.starts_with("is read-only"), "{problem}");
        assert_eq!(fs::read_to_string(&file).unwrap(), "old");
    }

    #[test]
    fn nothing_is_left_beside_the_file() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("a.lope");
        fs::write(&file, "old").unwrap();
        write_whole(&file, "new").unwrap();
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn what_is_put_is_whole_or_not_there() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("a.mid");
        put(&file, |out| out.write_all(b"first")).unwrap();
        put(&file, |out| out.write_all(b"second")).unwrap();
        let fails =
            |out: &mut File| out.write_all(b"half").and(Err::<(), _>(io::ErrorKind::StorageFull.into()));
        let problem = put(&file, fails).unwrap_err();
        assert_eq!(problem.message, "cannot write it: the disk is full; make room and try again");
        assert_eq!(fs::read_to_string(&file).unwrap(), "second");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
        assert_eq!(
            put(folder.path(), |_| Ok(())).unwrap_err().message,
            "is there and is no file; choose another name"
        );
    }

    #[test]
    fn creating_never_touches_what_is_there() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("a.lope");
        create(&file, "first").unwrap();
        let problem = create(&file, "second").unwrap_err();
        assert_eq!(problem.message, "cannot write it: it is there already");
        assert_eq!(fs::read_to_string(&file).unwrap(), "first");
    }
}
