//! How it starts, and how it ends.

use std::path::Path;
use std::process::{Command, Stdio};

use lope_tests::book::Book;
use lope_tests::program;

use super::JIG;
use super::viewed::Viewed;

#[test]
fn a_port_that_is_taken_is_said_to_be() {
    let book = Book::of(&[("a.lope", JIG)]);
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let ran = book.run(&["view", "a.lope", "--no-open", "--port", &port]);
    assert_eq!((ran.code(), ran.out.as_str()), (2, ""));
    assert_eq!(
        ran.err,
        format!("lope: port {port} is taken: name another with --port, or none for one that is free\n")
    );
    drop(taken);
    let viewed = Viewed::of(program::command(&book.folder()).args(["view", "--no-open", "--port", &port]));
    assert_eq!(viewed.port.to_string(), port);
}

#[test]
fn what_is_not_there_is_not_shown() {
    let book = Book::new();
    let ran = book.run(&["view", "none.lope", "--no-open"]);
    assert_eq!(ran.err, "lope: none.lope: cannot read it: there is no such file or folder\n");
    assert_eq!(ran.code(), 2);
}

#[test]
fn ctrl_c_is_a_clean_end_and_so_is_the_end_of_input_for_who_wants_it() {
    let book = Book::of(&[("a.lope", JIG)]);
    let mut viewed = Viewed::new(&book.folder(), "a.lope");
    let _listens = viewed.turns();
    // What a terminal sends for Ctrl-C, and when it is closed.
    for signal in ["-INT", "-HUP", "-TERM"] {
        let sent = Command::new("kill").args([signal, &viewed.child.id().to_string()]).status().unwrap();
        assert!(sent.success());
        assert_eq!(viewed.child.wait().unwrap().code(), Some(0), "{signal}");
        viewed = Viewed::new(&book.folder(), "a.lope");
    }

    let mut attached = Viewed::of(
        program::command(&book.folder())
            .args(["view", "a.lope", "--no-open", "--attached"])
            .stdin(Stdio::piped()),
    );
    let _listens = attached.turns();
    drop(attached.child.stdin.take());
    assert_eq!(attached.child.wait().unwrap().code(), Some(0));
}

#[test]
fn the_page_is_opened_in_the_browser_and_nobody_else_is_told_where_it_is() {
    let book = Book::of(&[("a.lope", JIG)]);
    // A browser that only writes down where it was sent.
    let opener = "#!/bin/sh\necho \"$1\" > \"$OPENED.part\" && mv \"$OPENED.part\" \"$OPENED\"\n";
    let program = book.write("bin/xdg-open", opener);
    std::fs::set_permissions(&program, std::os::unix::fs::PermissionsExt::from_mode(0o755)).unwrap();
    let opened = book.path("opened");
    let path = format!("{}:{}", book.path("bin").display(), std::env::var("PATH").unwrap());
    let mut command = program::command(&book.folder());
    command.args(["view", "a.lope"]).env("PATH", path).env("OPENED", &opened).stdin(Stdio::null());
    let home = book.path("home");
    std::fs::create_dir(&home).unwrap();
    command.env("HOME", &home);
    let viewed = Viewed::of(&mut command);
    while !opened.exists() {
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    let door = book.read("opened");
    let token = viewed.address.trim_end_matches('/').rsplit('/').next().unwrap();
    assert!(!door.contains(token), "what a program is started with can be seen by everybody: {door}");
    let page = std::fs::read_to_string(door.trim()).unwrap();
    assert!(page.contains(&format!("content=\"0;url={}\"", viewed.address)), "{page}");
    // Browsers in a box see what is not hidden in the home; when the page has come, nothing is left there.
    let folder = Path::new(door.trim()).parent().unwrap();
    assert_eq!(folder.parent(), Some(&*home), "{door}");
    assert!(!folder.file_name().unwrap().to_str().unwrap().starts_with('.'), "{door}");
    assert_eq!(viewed.get("").status, 200);
    assert!(!folder.exists());
}
