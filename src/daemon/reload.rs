//! Taking a changed configuration into use while the service runs.

use crate::config::Config;
use crate::daemon::house::House;

/// The configuration as it is now, or every reason why it cannot be used.
pub type Reread<'a> = &'a dyn Fn() -> Result<Config, String>;

impl House {
    /// Takes a changed configuration into use, or goes on with the one it has and says why. Gives a word for the
    /// supervisor.
    pub(super) fn reload(&mut self, reread: Reread<'_>) -> String {
        let adopted = reread().and_then(|config| self.adopt(config));
        match adopted {
            Ok(()) => {
                tracing::info!("the configuration was read anew and is in use");
                "working, with the configuration read anew".to_owned()
            }
            Err(why) => {
                tracing::error!(%why, "the configuration was read anew and is not used; the one before goes on");
                format!("working, with the configuration from before: {why}")
            }
        }
    }

    /// What can change while the service runs changes with the next step; what cannot is refused, and nothing of the
    /// new configuration is used then.
    fn adopt(&mut self, config: Config) -> Result<(), String> {
        let fixed = [
            ("site", self.config.site == config.site),
            ("ledger", self.config.ledger == config.ledger),
            ("watch-folder", self.config.watch_folder == config.watch_folder),
            ("intake.watch", self.config.watch == config.watch),
            ("drop-point", self.config.drop_point == config.drop_point),
        ];
        let changed: Vec<&str> = fixed.iter().filter(|(_, same)| !same).map(|(key, _)| *key).collect();
        if !changed.is_empty() {
            return Err(format!("to change {} stop the service and start it again", changed.join(", ")));
        }
        self.folder.set_patience(config.settle, config.grace);
        self.press.zone = config.zone.clone();
        self.press.doubt();
        self.post.adopt(&config);
        self.config = config;
        Ok(())
    }
}
