//! Files and folders that are not as they should be: a clear message, and nothing lost.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::Command;

use lope_tests::book::Book;
use lope_tests::program::{Ran, command, feed, lope, run_with};

const CLEAN: &str = "tune: The Long String\nmeter: 6/8\n\npart A\n| 1:0 t5:7 1:2  1:0 t 1:0 |\n";
const QUIET: &str = "[rules]\npart-length = \"off\"\n";
/// The third note of a group hammered on, which has a safe mend.
const MENDABLE: &str = "tune: The Long String\nmeter: 6/8\n\npart A\n| 2:0 t h1  1:0 t 1:0 |\n";

/// A run that could not do all it was asked, and what it complained of.
fn complaint(book: &Book, args: &[&str]) -> String {
    let ran = book.run(args);
    assert_eq!(ran.code(), 2, "{ran:?}");
    assert!(ran.err.starts_with("lope: "), "{ran:?}");
    ran.err
}

#[test]
fn an_empty_file_is_a_tune_with_nothing_in_it() {
    let book = Book::of(&[("empty.lope", "")]);
    let ran = book.run(&["check"]);
    assert_eq!((ran.code(), ran.err.as_str()), (1, ""), "{ran:?}");
    assert!(ran.out.contains("missing-field, empty.lope:1:1"), "{ran:?}");
}

#[test]
fn a_binary_file_is_told_from_a_tune_and_the_rest_is_checked() {
    let book = Book::of(&[("a.lope", &b"\x7fELF\x02\x01\x01\x00\x00"[..]), ("b.lope", CLEAN.as_bytes())]);
    book.write("lope.toml", QUIET);
    let ran = book.run(&["check"]);
    assert_eq!(ran.code(), 2);
    assert!(ran.err.starts_with("lope: a.lope:1:8: holds a zero byte, so it is not text"), "{ran:?}");
    assert_eq!(ran.out, "1 file checked, nothing found\n");
}

#[test]
fn invalid_utf_8_is_placed() {
    let book = Book::of(&[("a.lope", b"tune: Caf\xe9\nmeter: 6/8\n")]);
    assert_eq!(
        complaint(&book, &["check"]),
        "lope: a.lope:1:10: byte 0xe9 is not UTF-8 text; save the file as UTF-8\n"
    );
    assert_eq!(complaint(&book, &["mend"]), complaint(&book, &["check"]));
    assert_eq!(fs::read(book.path("a.lope")).unwrap(), b"tune: Caf\xe9\nmeter: 6/8\n");
}

#[test]
fn ten_megabytes_are_read_like_any_other() {
    let bars = "| 1:0 t5:7 1:2  1:0 t 1:0 |\n".repeat(10 * 1024 * 1024 / 28);
    let book =
        Book::of(&[("lope.toml", QUIET), ("long.lope", &format!("{}{bars}", &CLEAN[..CLEAN.len() - 28]))]);
    assert_eq!(book.run(&["check"]).expect(0), "1 file checked, nothing found\n");
}

#[test]
fn a_line_of_a_hundred_thousand_slips_is_still_cut_to_a_line() {
    let slips = "t5:3 1:2 ".repeat(50_000);
    let book = Book::of(&[
        ("lope.toml", QUIET),
        ("line.lope", &format!("tune: T\nmeter: 6/8\n\npart A\n{slips}\n")),
    ]);
    let out = book.run(&["check"]).expect(1);
    assert!(out.lines().all(|line| line.chars().count() < 200));
    assert!(out.contains("off-the-neck, line.lope:5:449992\n"), "{}", &out[out.len() - 400..]);
}

#[test]
fn an_endless_input_is_refused() {
    let book = Book::new();
    let line = format!("yes '| 1:0 t 1:0 |' | {} check -", lope().display());
    let output = feed(Command::new("sh").current_dir(book.folder()).args(["-c", &line]), b"");
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(
        String::from_utf8_lossy(&output.stderr),
        "lope: -: is larger than 100 MB, too large for tab\n"
    );
}

#[test]
fn what_is_not_there_is_named_and_the_rest_is_checked() {
    let book = Book::of(&[("lope.toml", QUIET), ("a.lope", CLEAN)]);
    let ran = book.run(&["check", "a.lope", "b.lope", "jigs"]);
    assert_eq!(ran.code(), 2);
    assert_eq!(
        ran.err,
        "lope: b.lope: cannot read it: there is no such file or folder\n\
         lope: jigs: cannot read it: there is no such file or folder\n"
    );
    assert_eq!(ran.out, "1 file checked, nothing found\n");
}

#[test]
fn a_folder_without_a_tune_is_a_failure() {
    let book = Book::of(&[("notes.txt", "")]);
    assert_eq!(complaint(&book, &["check"]), "lope: .: holds no tune: no file that ends in .lope\n");
}

#[test]
fn a_broken_link_says_where_it_leads() {
    let book = Book::of(&[("lope.toml", QUIET), ("a.lope", CLEAN)]);
    symlink("gone/b.lope", book.path("b.lope")).unwrap();
    let expected =
        "lope: b.lope: is a link to gone/b.lope, and nothing is there; mend the link or take it away\n";
    assert_eq!(complaint(&book, &["check"]), expected);
    assert_eq!(complaint(&book, &["check", "b.lope"]), expected);
    assert_eq!(complaint(&book, &["mend"]), expected);
}

/// Runs `lope` as somebody whom permissions bind, which they do not bind the superuser.
fn as_nobody(book: &Book, args: &[&str]) -> Ran {
    // Anybody's: 65534 is the overflow id of Linux, `nobody` on Debian.
    const NOBODY: u32 = 65534;
    let folder = book.folder();
    let superuser =
        fs::metadata("/proc/self").map(|own| std::os::unix::fs::MetadataExt::uid(&own) == 0).unwrap();
    let mut program = command(&folder);
    if superuser {
        fs::set_permissions(&folder, fs::Permissions::from_mode(0o755)).unwrap();
        // The program itself may lie where nobody can reach it.
        let reachable = folder.join("lope");
        fs::copy(lope(), &reachable).unwrap();
        program = Command::new(reachable);
        program.current_dir(&folder).uid(NOBODY).gid(NOBODY);
    }
    let output = feed(program.args(args), b"");
    Ran {
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
        status: output.status,
    }
}

fn without_permission(path: &Path) {
    fs::set_permissions(path, fs::Permissions::from_mode(0o0)).unwrap();
}

#[test]
fn a_folder_and_a_file_without_permission_are_named_and_the_rest_is_checked() {
    let book =
        Book::of(&[("lope.toml", QUIET), ("a.lope", CLEAN), ("shut.lope", CLEAN), ("shut/b.lope", CLEAN)]);
    without_permission(&book.path("shut"));
    without_permission(&book.path("shut.lope"));
    let ran = as_nobody(&book, &["check"]);
    fs::set_permissions(book.path("shut"), fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!(ran.code(), 2, "{ran:?}");
    assert_eq!(
        ran.err,
        "lope: shut: cannot read it: the system does not allow it; look at its permissions\n\
         lope: shut.lope: cannot read it: the system does not allow it; look at its permissions\n"
    );
    assert_eq!(ran.out, "1 file checked, nothing found\n");
}

#[test]
fn a_read_only_file_is_not_mended() {
    let book = Book::of(&[("lope.toml", QUIET), ("a.lope", MENDABLE)]);
    fs::set_permissions(book.path("a.lope"), fs::Permissions::from_mode(0o444)).unwrap();
    assert_eq!(
        complaint(&book, &["mend"]),
        "lope: a.lope: is read-only, so it is left as it was; allow writing to it and try again\n"
    );
    assert_eq!(book.read("a.lope"), MENDABLE);
}

#[test]
fn a_folder_that_cannot_be_written_leaves_the_file_as_it_was() {
    let book = Book::of(&[("lope.toml", QUIET), ("shut/a.lope", MENDABLE)]);
    fs::set_permissions(book.path("shut/a.lope"), fs::Permissions::from_mode(0o666)).unwrap();
    fs::set_permissions(book.path("shut"), fs::Permissions::from_mode(0o555)).unwrap();
    let ran = as_nobody(&book, &["mend"]);
    fs::set_permissions(book.path("shut"), fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!(ran.code(), 2, "{ran:?}");
    assert_eq!(
        ran.err,
        "lope: shut/a.lope: cannot write it: the system does not allow it; look at its permissions; it is as it was\n"
    );
    assert_eq!(book.read("shut/a.lope"), MENDABLE);
}

/// A tune of some 40 KB that has something to mend.
fn long_and_mendable() -> String {
    format!("{MENDABLE}{}", "| 2:0 t 1:1  1:0 t 1:0 |\n".repeat(1_600))
}

#[test]
fn a_disk_that_fills_while_mending_leaves_the_file_as_it_was() {
    let text = long_and_mendable();
    let book = Book::of(&[("a.lope", text.as_str()), ("lope.toml", QUIET)]);
    fs::create_dir(book.path("disk")).unwrap();
    // A disk of 64 KB holds the tune, but not twice. It is gone with the process that sees it.
    let script = format!(
        "mount -t tmpfs -o size=64k tmpfs disk && cp a.lope lope.toml disk && {} mend disk; echo \"status $?\"; \
         cmp a.lope disk/a.lope && ls -A disk",
        lope().display()
    );
    let unshared = ["--user", "--map-root-user", "--mount", "sh", "-c", &script];
    let output = feed(Command::new("unshare").current_dir(book.folder()).args(unshared), b"");
    let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(out.ends_with("status 2\na.lope\nlope.toml\n"), "{out}\n{err}");
    assert_eq!(
        err,
        "lope: disk/a.lope: cannot write it: the disk is full; make room and try again; it is as it was\n"
    );
}

#[test]
fn a_limit_on_the_size_of_files_leaves_the_file_as_it_was() {
    let text = long_and_mendable();
    let book = Book::of(&[("a.lope", text.as_str()), ("lope.toml", QUIET)]);
    // Files of at most one block, and no signal for those who ask for more.
    let script = format!("trap '' XFSZ; ulimit -f 1; exec {} mend", lope().display());
    let output = feed(Command::new("sh").current_dir(book.folder()).args(["-c", &script]), b"");
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    let err = String::from_utf8_lossy(&output.stderr);
    assert!(err.starts_with("lope: a.lope: cannot write it: the system allows no file that large"), "{err}");
    assert_eq!(book.read("a.lope"), text);
    assert_eq!(fs::read_dir(book.folder()).unwrap().count(), 2, "nothing is left beside it");
}

#[test]
fn binary_input_is_refused_before_anything_is_written() {
    let ran = run_with(&Book::new().folder(), ["mend", "-"], b"\0\0\0");
    assert_eq!((ran.code(), ran.out.as_str()), (2, ""));
    assert!(ran.err.starts_with("lope: -:1:1: holds a zero byte"), "{ran:?}");
}
