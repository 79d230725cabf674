//! Letters as `.eml` files in a folder: for a shop without a relay, for trying things out, for tests.

use super::back_off::back_off;
use super::back_off::hourly;
use super::outcome::Sent;
use super::outcome::Tried;
use super::outcome::one_line;
use super::route::Outgoing;
use crate::facts::Digest;
use std::fs::File;
use std::io;
use std::io::Write as _;
use std::path::Path;
use std::time::Duration;

/// A share that went away can hold a write for ever.
const LIMIT: Duration = Duration::from_secs(60);

/// Writes the letter into the folder, durably.
///
/// The write runs on a thread of its own. When it does not come back in time the letter is put off; should it
/// finish after all, it has written the same bytes under the same name.
pub(super) async fn put(folder: &Path, letter: &Outgoing) -> Tried {
    let (target, name, mail) = (folder.to_owned(), file_name(&letter.message_id), letter.mail.clone());
    let mut writing = tokio::task::spawn_blocking(move || write(&target, &name, &mail));
    let written = match tokio::time::timeout(LIMIT, &mut writing).await {
        Ok(Ok(written)) => written,
        Ok(Err(stopped)) => Err(io::Error::other(stopped)),
        Err(_) => {
            writing.abort();
            Err(io::Error::new(io::ErrorKind::TimedOut, "the folder does not answer"))
        }
    };
    match written {
        Ok(()) => Tried { sent: Sent::Accepted, relay_failing: false },
        Err(error) => Tried { sent: judge(folder, letter, &error), relay_failing: true },
    }
}

fn judge(folder: &Path, letter: &Outgoing, error: &io::Error) -> Sent {
    let why = format!("writing a letter into {}: {}", folder.display(), one_line(&error.to_string()));
    let is_setup = [
        io::ErrorKind::NotFound,
        io::ErrorKind::NotADirectory,
        io::ErrorKind::PermissionDenied,
        io::ErrorKind::ReadOnlyFilesystem,
    ]
    .contains(&error.kind());
    if is_setup {
        let why = format!("{why}; make the folder, or let the service write there");
        Sent::Setup { why, wait: hourly(letter.attempts, letter.id) }
    } else {
        Sent::Later { why, wait: back_off(letter.attempts, letter.id) }
    }
}

/// Temporary name, sync, rename, sync of the folder. Stopped anywhere, the name holds the whole letter or is
/// not there; the temporary name is fixed too, so the resend takes up what a crash left lying.
fn write(folder: &Path, name: &str, mail: &[u8]) -> io::Result<()> {
    let temporary = folder.join(format!(".{name}.tmp"));
    let mut file = File::create(&temporary)?;
    file.write_all(mail)?;
    file.sync_all()?;
    drop(file);
    std::fs::rename(&temporary, folder.join(name))?;
    if cfg!(unix) {
        // A rename lasts only when the folder is synced; elsewhere a folder cannot be opened for that.
        File::open(folder)?.sync_all()?;
    }
    Ok(())
}

/// The id's harmless characters, for people, and its digest, so that two ids never share a name.
fn file_name(message_id: &str) -> String {
    let readable: String = message_id
        .chars()
        .filter(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_' | '@'))
        .take(100)
        .collect();
    let readable = readable.trim_start_matches(['.', '-']);
    format!("{readable}.{}.eml", Digest::of(message_id.as_bytes()).short())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_name_holds_nothing_of_a_path() {
        for id in ["<../../etc/x@y>", "<a/b\\c@d>", "<.hidden@d>", "<\0\n@d>", "", "<-rf@d>"] {
            let name = file_name(id);
            assert!(!name.contains(['/', '\\', '\0', '\n']) && !name.starts_with('-'), "{name}");
            assert!(name.ends_with(".eml"), "{name}");
        }
        assert_ne!(file_name("<a/b@c>"), file_name("<ab@c>"));
        assert!(file_name("<1a2b.3c@shop.example>").starts_with("1a2b.3c@shop.example."));
    }
}
