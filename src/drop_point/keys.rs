//! Keys of devices: handed out once, kept as hashes, withdrawn at any time.
//!
//! The file is written whole and renamed, so a reader sees the keys before or after a change. It is read anew for each
//! request: a withdrawn key is refused from the next one on.

use crate::facts::Digest;
use rustix::fs::{FlockOperation, flock};
use rustix::process::geteuid;
use serde::{Deserialize, Serialize};
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write as _};
use std::os::unix::fs::{MetadataExt as _, OpenOptionsExt as _, fchown};
use std::path::{Path, PathBuf};

/// Random bytes of a key.
const LENGTH: usize = 20;

/// A device that was let in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Device {
    /// What people call it.
    pub name: String,
    /// Since when, RFC 3339.
    pub admitted: String,
    /// SHA-256 of its key, hexadecimal.
    key_sha256: String,
}

#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    devices: Vec<Device>,
}

/// The file of keys.
#[derive(Clone, Debug)]
pub struct Keys {
    file: PathBuf,
}

/// Why keys could not be read or changed.
#[derive(Debug)]
pub enum KeysError {
    /// The file cannot be read or written.
    File(PathBuf, io::Error),
    /// The file is not as this program writes it.
    Garbled(PathBuf, serde_json::Error),
    /// A device of this name is let in already.
    Known(String),
    /// No device of this name is let in.
    Unknown(String),
    /// A name that says nothing in the name of a file.
    Name(String),
}

impl std::fmt::Display for KeysError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::File(file, _) => write!(f, "the keys of devices in {}", file.display()),
            Self::Garbled(file, _) => write!(
                f,
                "{} is not as it was written: set it aside, and let the devices in anew",
                file.display()
            ),
            Self::Known(name) => {
                write!(f, "{name} is let in already: withdraw it first, or choose another name")
            }
            Self::Unknown(name) => write!(f, "no device {name} is let in; `device list` names them"),
            Self::Name(name) => {
                write!(
                    f,
                    "{name:?}: a device has a name of letters, digits and hyphens, such as bench-tablet-2"
                )
            }
        }
    }
}

impl std::error::Error for KeysError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::File(_, error) => Some(error),
            Self::Garbled(_, error) => Some(error),
            Self::Known(_) | Self::Unknown(_) | Self::Name(_) => None,
        }
    }
}

impl Keys {
    /// Those beside a ledger.
    #[must_use]
    pub fn beside(ledger: &Path) -> Self {
        Self { file: ledger.with_file_name("devices.json") }
    }

    /// Every device that is let in.
    ///
    /// # Errors
    /// The file is there and cannot be read, or is not as it was written.
    pub fn devices(&self) -> Result<Vec<Device>, KeysError> {
        match fs::read(&self.file) {
            Ok(bytes) => serde_json::from_slice::<Kept>(&bytes)
                .map(|kept| kept.devices)
                .map_err(|error| KeysError::Garbled(self.file.clone(), error)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
            Err(error) => Err(self.failed(error)),
        }
    }

    /// Lets a device in; gives its key, which is kept nowhere.
    ///
    /// # Errors
    /// The name is taken or says nothing, or the file cannot be read or written.
    pub fn admit(&self, name: &str, admitted: &str) -> Result<String, KeysError> {
        let plain = |b: u8| b.is_ascii_alphanumeric() || b == b'-';
        if name.is_empty() || name.len() > 30 || !name.bytes().all(plain) {
            return Err(KeysError::Name(name.to_owned()));
        }
        let _alone = self.alone()?;
        let mut devices = self.devices()?;
        if devices.iter().any(|device| device.name.eq_ignore_ascii_case(name)) {
            return Err(KeysError::Known(name.to_owned()));
        }
        let key = new_key().map_err(|error| self.failed(error))?;
        let (name, admitted) = (name.to_owned(), admitted.to_owned());
        devices.push(Device { name, admitted, key_sha256: Digest::of(key.as_bytes()).hex() });
        self.keep(devices)?;
        Ok(key)
    }

    /// Withdraws the key of a device.
    ///
    /// # Errors
    /// No such device is let in, or the file cannot be read or written.
    pub fn withdraw(&self, name: &str) -> Result<(), KeysError> {
        let _alone = self.alone()?;
        let mut devices = self.devices()?;
        let before = devices.len();
        devices.retain(|device| !device.name.eq_ignore_ascii_case(name));
        if devices.len() == before {
            return Err(KeysError::Unknown(name.to_owned()));
        }
        self.keep(devices)
    }

    /// The device whose key this is. Keys are random, so what comparing takes tells nothing of one.
    ///
    /// # Errors
    /// The file cannot be read.
    pub(super) fn whose(&self, key: &str) -> Result<Option<Device>, KeysError> {
        let hash = Digest::of(key.as_bytes()).hex();
        Ok(self.devices()?.into_iter().find(|device| device.key_sha256 == hash))
    }

    /// Two commands at once would lose what one of them changed: held until it is dropped.
    fn alone(&self) -> Result<File, KeysError> {
        let folder = File::open(self.folder()).map_err(|error| self.failed(error))?;
        flock(&folder, FlockOperation::LockExclusive).map_err(|error| self.failed(error.into()))?;
        Ok(folder)
    }

    fn keep(&self, devices: Vec<Device>) -> Result<(), KeysError> {
        let part = self.file.with_extension("part");
        let write = || -> io::Result<()> {
            // Left by a stop between writing and renaming.
            match fs::remove_file(&part) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
                Ok(()) | Err(_) => {}
            }
            let mut file = OpenOptions::new().write(true).create_new(true).mode(0o600).open(&part)?;
            if geteuid().is_root() {
                // The service is mostly not root, and must be able to read it.
                let owner = fs::metadata(self.folder())?;
                fchown(&file, Some(owner.uid()), Some(owner.gid()))?;
            }
            file.write_all(&serde_json::to_vec_pretty(&Kept { devices })?)?;
            file.sync_all()?;
            fs::rename(&part, &self.file)?;
            File::open(self.folder())?.sync_all()
        };
        write().map_err(|error| self.failed(error))
    }

    fn folder(&self) -> &Path {
        let folder = self.file.parent().filter(|folder| !folder.as_os_str().is_empty());
        folder.unwrap_or(Path::new("."))
    }

    fn failed(&self, error: io::Error) -> KeysError {
        KeysError::File(self.file.clone(), error)
    }
}

fn new_key() -> io::Result<String> {
    let mut bytes = [0_u8; LENGTH];
    let got = rustix::rand::getrandom(&mut bytes, rustix::rand::GetRandomFlags::empty())?;
    if got < LENGTH {
        return Err(io::Error::other("the machine gave too little chance"));
    }
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}
