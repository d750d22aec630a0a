//! Files that commands write: whole or not at all, and never over another one unasked.

use super::failure::Failure;
use std::io::Write as _;
use std::path::Path;

/// Refuses a file that is there, before any other work is done.
pub(super) fn refuse_existing(path: &Path) -> Result<(), Failure> {
    if path.symlink_metadata().is_ok() { Err(exists(path)) } else { Ok(()) }
}

/// Writes a file atomically. Without `force` a file that is there stays as it is.
pub(super) fn write(path: &Path, bytes: &[u8], force: bool) -> Result<(), Failure> {
    let failed = |source| Failure::File { path: path.display().to_string(), doing: "write", source };
    if !force {
        refuse_existing(path)?;
    }
    if force {
        let mut file = atomic_write_file::AtomicWriteFile::open(path).map_err(failed)?;
        file.write_all(bytes).map_err(failed)?;
        return file.commit().map_err(failed);
    }
    // A second name for a finished file is given only where none is yet: no window in which another file could be
    // lost.
    let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let draft = path.with_file_name(format!(".{name}.{}.part", std::process::id()));
    let made = std::fs::OpenOptions::new().write(true).create_new(true).open(&draft);
    let written = made.and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()?;
        std::fs::hard_link(&draft, path)
    });
    // The draft is ours whatever happened; nothing is left to do when it cannot be removed.
    let _ = std::fs::remove_file(&draft);
    written.map_err(|e| if e.kind() == std::io::ErrorKind::AlreadyExists { exists(path) } else { failed(e) })
}

fn exists(path: &Path) -> Failure {
    Failure::usage(format!("{} is there already and was left as it is", path.display()))
        .with_help("name another file, or move this one away")
}
