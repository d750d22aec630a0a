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
        let failed =
            |source| Failure::File { path: path.display().to_string(), doing: "begin the session", source };
        let file = match OpenOptions::new().append(true).create_new(true).open(&path) {
            Ok(file) => file,
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
                return Err(Failure::usage(format!("there is a file {} already", path.display()))
                    .with_help("to go on with it: `aftercast ask --resume FILE`"));
            }
            Err(error) => return Err(failed(error)),
        };
        lock(&file, &path)?;
        let mut journal = Self { path: path.clone(), file };
        journal.append(first)?;
        // The file's name must be on the disk as well. Where folders cannot be synced the name comes with the next write.
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let _ = File::open(folder).and_then(|f| f.sync_all());
        Ok(journal)
    }

    /// Adds a record and waits until it is on the disk.
    pub(super) fn append(&mut self, record: &Record) -> Result<(), Failure> {
        let failed = |source| Failure::File { path: self.path.display().to_string(), doing: "write", source };
        let mut line = serde_json::to_vec(record).map_err(|e| failed(e.into()))?;
        line.push(b'\n');
        self.file.write_all(&line).and_then(|()| self.file.sync_data()).map_err(failed)
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
        file.seek(SeekFrom::End(0)).map_err(failed)?;
        if !whole {
            file.write_all(b"\n").map_err(failed)?;
        }
        Ok(Reopened { journal: Self { path: path.to_owned(), file }, records, torn })
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
        let path = folder.join(format!("{second}{letter}.jsonl"));
        if !path.exists() {
            return Journal::create(path, first);
        }
    }
    Err(Failure::usage("too many interviews begin at once").with_help("name a file with `--session FILE`"))
}

/// The session that was begun last.
pub(in crate::cli) fn latest() -> Result<PathBuf, Failure> {
    let folder = sessions()?;
    let names = std::fs::read_dir(&folder).into_iter().flatten().flatten().map(|e| e.path());
    let newest = names.filter(|p| p.extension().is_some_and(|e| e == "jsonl")).max();
    newest.ok_or_else(|| {
        Failure::usage(format!("there is no session in {}", folder.display()))
            .with_help("begin one with `aftercast ask`, or name its file: `aftercast ask --resume FILE`")
    })
}
