//! The journal of an interview: a file of JSON lines, one for each thing the caster did, each on the disk before the next
//! question is shown.

use crate::cli::failure::Failure;
use crate::interview::Record;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

/// An open journal. No second program can write to it meanwhile.
pub(super) struct Journal {
    path: PathBuf,
    file: File,
    /// Bytes of all records that were kept.
    kept: u64,
}

/// A journal read again.
pub(super) struct Reopened {
    pub(super) journal: Journal,
    pub(super) records: Vec<Record>,
    /// The last line was cut off while it was written.
    pub(super) torn: bool,
}

/// Sessions longer than this are no sessions.
const LARGEST: u64 = 16 << 20;

impl Journal {
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// A new journal with its first record. Never writes over a file.
    pub(super) fn create(path: PathBuf, first: &Record) -> Result<Self, Failure> {
        Self::begin(&path, first)?.ok_or_else(|| {
            Failure::usage(format!("there is a file {} already", path.display()))
                .with_help("to go on with it: `aftercast ask --resume FILE`")
        })
    }

    /// The same; `None` where there is a file of that name already.
    fn begin(path: &Path, first: &Record) -> Result<Option<Self>, Failure> {
        let failed = |source| {
            Failure::usage(format!("cannot begin the session {}: {source}", path.display()))
                .with_help("keep it elsewhere with --session FILE")
        };
        let file = match OpenOptions::new().append(true).create_new(true).open(path) {
            Ok(file) => file,
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => return Ok(None),
            Err(error) => return Err(failed(error)),
        };
        lock(&file, path)?;
        let mut journal = Self { path: path.to_owned(), file, kept: 0 };
        if let Err(source) = journal.push(first) {
            // Without its first record it is no session, and `--resume` would find it before the last true one.
            let _ = std::fs::remove_file(path);
            return Err(failed(source));
        }
        // The file's name must be on the disk as well. Where folders cannot be synced the name comes with the next write.
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let _ = File::open(folder).and_then(|f| f.sync_all());
        Ok(Some(journal))
    }

    /// Adds a record and waits until it is on the disk.
    pub(super) fn append(&mut self, record: &Record) -> Result<(), Failure> {
        self.push(record).map_err(|source| {
            let path = self.path.display();
            Failure::usage(format!("what you said last was not kept: cannot write {path}: {source}"))
                .with_help("all that was noted before is kept; make room, then go on with this file: `aftercast ask --resume FILE`")
        })
    }

    fn push(&mut self, record: &Record) -> std::io::Result<()> {
        let mut line = serde_json::to_vec(record)?;
        line.push(b'\n');
        if let Err(error) = self.file.write_all(&line).and_then(|()| self.file.sync_data()) {
            // Half a record helps nobody; where it cannot be cut off now, that is done when the session is read again.
            let _ = self.file.set_len(self.kept);
            return Err(error);
        }
        self.kept += line.len() as u64;
        Ok(())
    }

    /// Reads a journal and makes it ready to go on. A last line that was cut off is taken away.
    pub(super) fn reopen(path: &Path) -> Result<Reopened, Failure> {
        let name = path.display().to_string();
        let failed = |source| Failure::File { path: name.clone(), doing: "read the session", source };
        let mut file = OpenOptions::new().read(true).write(true).open(path).map_err(failed)?;
        lock(&file, path)?;
        let mut bytes = Vec::new();
        std::io::Read::take(&mut file, LARGEST).read_to_end(&mut bytes).map_err(failed)?;
        let Lines { records, good, torn, whole } = lines(&name, &bytes)?;
        if torn {
            file.set_len(good as u64).map_err(failed)?;
        }
        let mut kept = file.seek(SeekFrom::End(0)).map_err(failed)?;
        if !whole {
            file.write_all(b"\n").map_err(failed)?;
            kept += 1;
        }
        Ok(Reopened { journal: Self { path: path.to_owned(), file, kept }, records, torn })
    }
}

/// The records of a session, to look at and not to go on with.
pub(in crate::cli) fn records(path: &Path) -> Result<Vec<Record>, Failure> {
    let name = path.display().to_string();
    let failed = |source| Failure::File { path: name.clone(), doing: "read the session", source };
    let mut bytes = Vec::new();
    File::open(path).and_then(|file| file.take(LARGEST).read_to_end(&mut bytes)).map_err(failed)?;
    lines(&name, &bytes).map(|lines| lines.records)
}

/// The lines of a journal.
struct Lines {
    records: Vec<Record>,
    /// Bytes up to the end of the last whole record.
    good: usize,
    /// The last line was cut off while it was written.
    torn: bool,
    /// The last record ends with its line.
    whole: bool,
}

fn lines(name: &str, bytes: &[u8]) -> Result<Lines, Failure> {
    let mut records = Vec::new();
    let (mut good, mut torn, mut whole) = (0usize, false, true);
    for (at, line) in bytes.split_inclusive(|b| *b == b'\n').enumerate() {
        let ended = line.ends_with(b"\n");
        match serde_json::from_slice::<Record>(line) {
            Ok(record) => records.push(record),
            Err(_) if !ended && !records.is_empty() => {
                torn = true;
                break;
            }
            Err(_) if line.trim_ascii().is_empty() => {}
            Err(error) => {
                return Err(Failure::usage(format!("{name}: line {} is no record of a session", at + 1))
                    .with_help(error.to_string())
                    .with_help("take that line out with a text editor, or begin anew with `aftercast ask`"));
            }
        }
        good += line.len();
        whole = ended;
    }
    if records.is_empty() {
        return Err(Failure::usage(format!("{name} holds no session"))
            .with_help("begin a new one with `aftercast ask`"));
    }
    Ok(Lines { records, good, torn, whole })
}

fn lock(file: &File, path: &Path) -> Result<(), Failure> {
    match file.try_lock() {
        Err(TryLockError::WouldBlock) => {
            Err(Failure::usage(format!("the session {} is open in another window", path.display()))
                .with_help("go on there, or leave it there first with `quit`"))
        }
        // Where files cannot be locked one window is taken on trust.
        _ => Ok(()),
    }
}

/// The folder of all that the program remembers.
pub(super) fn state_folder() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    let state = set("XDG_STATE_HOME").filter(|p| p.is_absolute());
    let state = state.or_else(|| set("HOME").map(|home| home.join(".local").join("state")));
    state.map(|folder| folder.join("aftercast"))
}

fn sessions() -> Result<PathBuf, Failure> {
    let folder = state_folder().map(|f| f.join("sessions")).ok_or_else(|| {
        Failure::usage("there is no folder for sessions: neither XDG_STATE_HOME nor HOME is set")
            .with_help("name a file with `--session FILE`")
    })?;
    Ok(folder)
}

/// A new session in its folder, which is made if need be, called after the second in which it begins.
pub(super) fn fresh(first: &Record) -> Result<Journal, Failure> {
    let folder = sessions()?;
    std::fs::create_dir_all(&folder).map_err(|source| Failure::File {
        path: folder.display().to_string(),
        doing: "make the folder",
        source,
    })?;
    let second = jiff::Timestamp::now().strftime("%Y%m%d-%H%M%S").to_string();
    // Of several in one second those after the first have a letter more; so the order of names is the order of time.
    for letter in std::iter::once(String::new()).chain(('b'..='z').map(String::from)) {
        if let Some(journal) = Journal::begin(&folder.join(format!("{second}{letter}.jsonl")), first)? {
            return Ok(journal);
        }
    }
    Err(Failure::usage("too many interviews begin at once").with_help("name a file with `--session FILE`"))
}

/// The session that was begun last.
pub(in crate::cli) fn latest() -> Result<PathBuf, Failure> {
    let folder = sessions()?;
    let names = std::fs::read_dir(&folder).into_iter().flatten().flatten().map(|e| e.path());
    // One that was killed before its first record is empty: nothing to go on with.
    let holds = |p: &PathBuf| p.metadata().is_ok_and(|m| m.len() > 0);
    let newest = names.filter(|p| p.extension().is_some_and(|e| e == "jsonl") && holds(p)).max();
    newest.ok_or_else(|| {
        Failure::usage(format!("there is no session in {}", folder.display()))
            .with_help("begin one with `aftercast ask`, or name its file: `aftercast ask --resume FILE`")
    })
}
