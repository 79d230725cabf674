//! The service as a process of its own.

use super::Result;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// The service as a process of its own.
pub(super) struct Service {
    child: Child,
    /// Where it logs.
    pub(super) log: PathBuf,
}

impl Service {
    pub(super) fn start(dir: &Path, config: &Path) -> Result<Self> {
        let log = dir.join("service.log");
        let child = Command::new(std::env::current_exe()?)
            .arg("--config")
            .arg(config)
            .arg("run")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(fs::File::create(&log)?)
            .spawn()?;
        Ok(Self { child, log })
    }

    /// SIGTERM, then a few seconds to end cleanly.
    pub(super) fn stop(mut self) -> Result<()> {
        if let Some(pid) = i32::try_from(self.child.id()).ok().and_then(rustix::process::Pid::from_raw) {
            // It may have ended by itself; then waiting says so.
            rustix::process::kill_process(pid, rustix::process::Signal::TERM).unwrap_or_default();
        }
        let ended = self.child.wait()?;
        if ended.success() {
            Ok(())
        } else {
            Err(format!("the service ended with {ended}; see {}", self.log.display()).into())
        }
    }
}
