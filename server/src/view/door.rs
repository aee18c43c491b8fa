//! How a browser is opened without telling anybody else on this machine where the page is.
//!
//! What a program is started with can be seen by all users, so the address, which holds the token, is in a file that
//! only this user can read, and the browser is given the name of that. Once the page has come, the file goes.

use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::PathBuf;

use tempfile::TempDir;

/// A file that leads to the page, for as long as it is kept.
pub struct Door {
    /// On Unix only its owner can look into it; elsewhere it is below a folder of the user's own.
    folder: TempDir,
}

impl Door {
    /// One that leads to `address`, which holds nothing that would be markup.
    pub fn to(address: &str) -> io::Result<Self> {
        let mut folder = tempfile::Builder::new();
        folder.prefix("lope-");
        #[cfg(unix)]
        folder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o700));
        // A home that cannot be written to is as good as none.
        let in_home = home().and_then(|home| folder.tempdir_in(home).ok());
        let door = Self { folder: in_home.map_or_else(|| folder.tempdir(), Ok)? };
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let page = format!(
            "<!doctype html>\n<html lang=\"en\">\n<meta charset=\"utf-8\">\n<title>Lope</title>\n\
             <meta name=\"referrer\" content=\"no-referrer\">\n\
             <meta http-equiv=\"refresh\" content=\"0;url={address}\">\n<a href=\"{address}\">To the tunes</a>\n</html>\n"
        );
        options.open(door.file())?.write_all(page.as_bytes())?;
        Ok(door)
    }

    /// Has the player's browser open it.
    pub fn open(&self) -> io::Result<()> {
        open::that_detached(self.file())
    }

    fn file(&self) -> PathBuf {
        self.folder.path().join("lope.html")
    }
}

/// Where browsers in a box can read on Linux: a snap sees neither `/tmp` nor what is hidden in the home.
fn home() -> Option<PathBuf> {
    std::env::home_dir().filter(|home| cfg!(target_os = "linux") && home.is_absolute())
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    #[test]
    fn only_its_owner_can_read_where_it_leads_and_it_goes_with_the_program() {
        let door = Door::to("http://127.0.0.1:4000/abc/").unwrap();
        let file = door.file();
        assert!(fs::read_to_string(&file).unwrap().contains("url=http://127.0.0.1:4000/abc/\""));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = |path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
            assert_eq!((mode(file.as_path()), mode(file.parent().unwrap())), (0o600, 0o700));
        }
        drop(door);
        assert!(!file.exists());
    }
}
