//! A shop's own cases on disk: written whole or not at all, never one over another.
//!
//! A new case is written to a hidden file, brought to the disk, and then given its name by a hard link: the link
//! fails when the name is taken, so two writers cannot overwrite each other and a kill at any instant leaves either
//! the whole case or a hidden file that no reader looks at. A change replaces the file by a rename under a lock that
//! dies with its holder, and only when the file is still what the writer has read.

use atomic_write_file::AtomicWriteFile;
use std::fs::{File, OpenOptions};
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// Longest id: file systems allow 255 bytes for a name.
const LONGEST_ID: usize = 100;
/// How many numbers are tried behind an id that is taken.
const MOST_NUMBERS: u32 = 100_000;

/// Why a case was not written.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Not an id.
    #[error("`{0}` is no id: small letters, digits and single hyphens, at most {LONGEST_ID} of them")]
    BadId(String),
    /// There is a case of this id.
    #[error("there is a case `{0}` already; nothing was written")]
    Taken(String),
    /// There is no case of this id in the shop's casebook.
    #[error("the shop's casebook has no case `{0}`")]
    Missing(String),
    /// Somebody changed the case in the meantime.
    #[error("`{0}` was changed by somebody else in the meantime; nothing was written")]
    Changed(String),
    /// The disk said no.
    #[error("cannot {doing} {}: {source}", path.display())]
    Disk {
        /// What was tried.
        doing: &'static str,
        /// With what.
        path: PathBuf,
        /// Why not.
        source: std::io::Error,
    },
}

/// A shop's casebook folder.
#[derive(Debug, Clone)]
pub struct Store {
    root: PathBuf,
}

fn disk(doing: &'static str, path: &Path) -> impl FnOnce(std::io::Error) -> StoreError {
    let path = path.to_path_buf();
    move |source| StoreError::Disk { doing, path, source }
}

/// True for an id that can stand as a file's name anywhere: kebab-case and no device name.
pub fn is_id(id: &str) -> bool {
    const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
    let kebab = id
        .split('-')
        .all(|part| !part.is_empty() && part.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit()));
    let device = DEVICES.contains(&id) || (id.len() == 4 && (id.starts_with("com") || id.starts_with("lpt")));
    kebab && !device && id.len() <= LONGEST_ID
}

/// Words of a title in an id.
const WORDS_IN_ID: usize = 6;
/// Letters of an id made from a title.
const LETTERS_IN_ID: usize = 40;
/// Words that an id does not end with.
const LOOSE: [&str; 24] = [
    "a", "an", "the", "of", "in", "on", "at", "to", "by", "for", "with", "without", "from", "and", "or",
    "but", "that", "which", "before", "after", "as", "is", "are", "where",
];

/// An id made from a title: its first words, without what stands in brackets, down to a word that can end it.
pub fn id_of(title: &str) -> String {
    let mut inside = false;
    let plain: String = title
        .to_lowercase()
        .chars()
        .map(|c| {
            inside = (inside || c == '(') && c != ')';
            if c.is_ascii_alphanumeric() && !inside { c } else { ' ' }
        })
        .collect();
    let mut id = String::new();
    let mut end = 0;
    for word in plain.split_whitespace().take(WORDS_IN_ID) {
        if !id.is_empty() {
            if id.len() + 1 + word.len() > LETTERS_IN_ID {
                break;
            }
            id.push('-');
        }
        id.push_str(word);
        if !LOOSE.contains(&word) {
            end = id.len();
        }
    }
    id.truncate(if end > 0 { end } else { LETTERS_IN_ID });
    if is_id(&id) { id } else { "case".to_owned() }
}

impl Store {
    /// A folder, which need not be there yet.
    pub fn new(root: impl Into<PathBuf>) -> Self {
        Self { root: root.into() }
    }

    /// The folder.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The file of a case.
    ///
    /// # Errors
    /// [`StoreError::BadId`]: nothing but an id becomes a path.
    pub fn path(&self, id: &str) -> Result<PathBuf, StoreError> {
        if !is_id(id) {
            return Err(StoreError::BadId(id.to_owned()));
        }
        Ok(self.root.join(format!("{id}.yaml")))
    }

    /// Writes a new case. When it returns, the case is on the disk.
    ///
    /// # Errors
    /// [`StoreError::Taken`] when there is a case of this id; the disk's own word.
    pub fn add(&self, id: &str, text: &str) -> Result<PathBuf, StoreError> {
        let path = self.path(id)?;
        std::fs::create_dir_all(&self.root).map_err(disk("make", &self.root))?;
        let hidden = self.hidden(id)?;
        let placed = self.place(id, text, &hidden, &path);
        // What is left of a failed try helps nobody, and a full disk least of all.
        let removed = std::fs::remove_file(&hidden);
        placed?;
        removed.map_err(disk("tidy up", &hidden))?;
        self.settle()?;
        Ok(path)
    }

    fn place(&self, id: &str, text: &str, hidden: &Path, path: &Path) -> Result<(), StoreError> {
        let mut file =
            OpenOptions::new().write(true).create_new(true).open(hidden).map_err(disk("write", path))?;
        file.write_all(text.as_bytes()).map_err(disk("write", path))?;
        file.sync_all().map_err(disk("write", path))?;
        match std::fs::hard_link(hidden, path) {
            Ok(()) => Ok(()),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(StoreError::Taken(id.to_owned())),
            // A file system without links: reserve the name, then put the whole file over the empty one.
            Err(error) if matches!(error.kind(), ErrorKind::Unsupported | ErrorKind::PermissionDenied) => {
                match OpenOptions::new().write(true).create_new(true).open(path) {
                    Ok(_) => replace(path, text),
                    Err(e) if e.kind() == ErrorKind::AlreadyExists => Err(StoreError::Taken(id.to_owned())),
                    Err(e) => Err(disk("write", path)(e)),
                }
            }
            Err(error) => Err(disk("write", path)(error)),
        }
    }

    /// Writes a new case under the wished id, or under that id with a number behind it when it is taken. `text` is
    /// asked for the text of the id that is tried; `refused` says which ids are taken elsewhere.
    ///
    /// # Errors
    /// As [`Store::add`].
    pub fn add_numbered(
        &self,
        wish: &str,
        refused: impl Fn(&str) -> bool,
        text: impl Fn(&str) -> String,
    ) -> Result<(String, PathBuf), StoreError> {
        for number in 1..=MOST_NUMBERS {
            let id = if number == 1 { wish.to_owned() } else { format!("{wish}-{number}") };
            if refused(&id) || self.path(&id)?.exists() {
                continue;
            }
            match self.add(&id, &text(&id)) {
                Err(StoreError::Taken(_)) => {}
                Err(error) => return Err(error),
                Ok(path) => return Ok((id, path)),
            }
        }
        Err(StoreError::Taken(wish.to_owned()))
    }

    /// The text of a case.
    ///
    /// # Errors
    /// [`StoreError::Missing`] when there is none; the disk's own word.
    pub fn text(&self, id: &str) -> Result<String, StoreError> {
        let path = self.path(id)?;
        std::fs::read_to_string(&path).map_err(|error| match error.kind() {
            ErrorKind::NotFound => StoreError::Missing(id.to_owned()),
            _ => disk("read", &path)(error),
        })
    }

    /// Replaces a case that still reads `before`.
    ///
    /// # Errors
    /// [`StoreError::Changed`] when it does not; [`StoreError::Missing`] when it is not there; the disk's own word.
    pub fn change(&self, id: &str, before: &str, text: &str) -> Result<PathBuf, StoreError> {
        let path = self.path(id)?;
        if !path.exists() {
            return Err(StoreError::Missing(id.to_owned()));
        }
        let lock_path = self.root.join(".lock");
        let lock = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&lock_path)
            .map_err(disk("open", &lock_path))?;
        // Released when the file is closed, by a kill as well.
        lock.lock().map_err(disk("lock", &lock_path))?;
        if self.text(id)? != before {
            return Err(StoreError::Changed(id.to_owned()));
        }
        replace(&path, text)?;
        self.settle()?;
        Ok(path)
    }

    /// A name that no reader looks at and no other writer uses.
    fn hidden(&self, id: &str) -> Result<PathBuf, StoreError> {
        static COUNT: AtomicU64 = AtomicU64::new(0);
        let path = self.path(id)?;
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let pid = std::process::id();
        // A process killed before may have had this very id: a leftover of the same name is skipped.
        for round in 0_u32.. {
            let hidden = self.root.join(format!(".{name}.{pid}.{count}.{round}"));
            if !hidden.exists() {
                return Ok(hidden);
            }
        }
        Err(StoreError::Taken(id.to_owned()))
    }

    /// Brings the folder's own list of names to the disk.
    fn settle(&self) -> Result<(), StoreError> {
        // Folders cannot be opened so on every system; there the names are durable with the file.
        match File::open(&self.root) {
            Ok(folder) => folder.sync_all().map_err(disk("write", &self.root)),
            Err(_) => Ok(()),
        }
    }
}

/// Puts a whole file in the place of another.
///
/// # Errors
/// The disk's own word; then the old file stands as it was.
pub fn replace(path: &Path, text: &str) -> Result<(), StoreError> {
    replace_with(path, &[text.as_bytes()])
}

/// The same with bytes in several pieces.
///
/// # Errors
/// The disk's own word; then the old file stands as it was.
pub fn replace_with(path: &Path, pieces: &[&[u8]]) -> Result<(), StoreError> {
    let mut file = AtomicWriteFile::open(path).map_err(disk("write", path))?;
    pieces.iter().try_for_each(|piece| file.write_all(piece)).map_err(disk("write", path))?;
    file.commit().map_err(disk("write", path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_ends_at_a_word_that_can_end_it() {
        for (title, id) in [
            ("Misrun (the metal froze before the mould was full); cold shut", "misrun-cold-shut"),
            ("Pits in the new bangle", "pits-in-the-new-bangle"),
            ("Holes where the gate joins the piece and one more", "holes-where-the-gate-joins"),
            ("Unfilled far from the gate of the", "unfilled-far-from-the-gate"),
            ("Extraordinarily-long-compounded discolorations everywhere", "extraordinarily-long-compounded"),
            ("Before", "before"),
            ("(", "case"),
        ] {
            assert_eq!(id_of(title), id, "{title}");
        }
    }

    #[test]
    fn only_ids_become_paths() {
        let store = Store::new("/nowhere");
        let long = "a".repeat(LONGEST_ID + 1);
        for id in [
            "../x", "a/b", "a\\b", "", ".", "..", "A", "a--b", "-a", "a-", "nul", "com1", "a\0", "é", "a.b",
            &long,
        ] {
            assert!(matches!(store.path(id), Err(StoreError::BadId(_))), "{id:?}");
        }
        assert!(is_id("heavy-signet-2"));
        for title in ["../../etc/passwd", "", "\u{1b}[31m", "Rings, 14 kt!", "ÄÖ", "nul"] {
            assert!(is_id(&id_of(title)), "{title:?} gives {:?}", id_of(title));
        }
    }

    #[test]
    fn nothing_is_overwritten_silently() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::new(dir.path());
        store.add("one", "first").unwrap();
        assert!(matches!(store.add("one", "second"), Err(StoreError::Taken(_))));
        assert_eq!(store.text("one").unwrap(), "first");
        assert!(matches!(store.change("one", "zero", "second"), Err(StoreError::Changed(_))));
        assert_eq!(store.text("one").unwrap(), "first");
        store.change("one", "first", "second").unwrap();
        assert_eq!(store.text("one").unwrap(), "second");
        assert!(matches!(store.change("two", "", "x"), Err(StoreError::Missing(_))));
        let (id, _) = store.add_numbered("one", |_| false, str::to_owned).unwrap();
        assert_eq!(id, "one-2");
    }

    #[test]
    fn many_writers_of_one_wish_each_get_their_own() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::new(dir.path());
        let ids: Vec<String> = std::thread::scope(|scope| {
            let writers: Vec<_> = (0..8)
                .map(|_| {
                    scope.spawn(|| {
                        (0..5)
                            .map(|_| store.add_numbered("same", |_| false, str::to_owned).unwrap().0)
                            .collect::<Vec<_>>()
                    })
                })
                .collect();
            writers.into_iter().flat_map(|w| w.join().unwrap()).collect()
        });
        let mut unique = ids.clone();
        unique.sort();
        unique.dedup();
        assert_eq!(unique.len(), 40);
        for id in ids {
            assert_eq!(store.text(&id).unwrap(), id);
        }
    }
}
