//! `completions SHELL` and `manual`: what a package puts beside the program.

use super::speak::say;
use super::{Arguments, Done};
use clap::{Args, CommandFactory as _};
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct Completions {
    /// For which shell.
    shell: clap_complete::Shell,
}

impl Completions {
    pub(super) fn execute(&self) -> Done {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut Arguments::command(), "benchdrop", &mut script);
        say(&String::from_utf8(script)?);
        Ok(ExitCode::SUCCESS)
    }
}

/// The manual page, as `man` reads it: the program, then each command with its options.
pub(super) fn manual() -> Done {
    let mut program = Arguments::command();
    program.build();
    let mut page = Vec::new();
    let whole = clap_mangen::Man::new(program.clone()).section("1").manual("User commands");
    whole.render_title(&mut page)?;
    whole.render_name_section(&mut page)?;
    whole.render_synopsis_section(&mut page)?;
    whole.render_description_section(&mut page)?;
    whole.render_options_section(&mut page)?;
    page.extend_from_slice(b".SH COMMANDS\n");
    for command in program.get_subcommands().filter(|command| command.get_name() != "help") {
        render(&mut page, command, "benchdrop")?;
    }
    page.extend_from_slice(ENDS.as_bytes());
    say(&String::from_utf8(page)?);
    Ok(ExitCode::SUCCESS)
}

/// A command under its own heading; those that belong to it follow. What all commands have stands above once.
fn render(page: &mut Vec<u8>, command: &clap::Command, above: &str) -> std::io::Result<()> {
    let name = format!("{above} {}", command.get_name());
    let is_everywhere = |arg: &clap::Arg| arg.is_global_set() || arg.get_id() == "help";
    let own = command.clone().bin_name(&name).disable_help_subcommand(true);
    let own = own.mut_args(|arg| if is_everywhere(&arg) { arg.hide(true) } else { arg });
    let part = clap_mangen::Man::new(own);
    let mut text = Vec::new();
    part.render_synopsis_section(&mut text)?;
    part.render_description_section(&mut text)?;
    if command.get_arguments().any(|arg| !is_everywhere(arg)) {
        part.render_options_section(&mut text)?;
    }
    page.extend_from_slice(format!(".SS {name}\n").as_bytes());
    // Its sections are paragraphs of ours.
    for line in String::from_utf8_lossy(&text).lines() {
        let line = if line.starts_with(".SH ") { ".PP" } else { line };
        page.extend_from_slice(format!("{line}\n").as_bytes());
    }
    for inner in command.get_subcommands().filter(|inner| inner.get_name() != "help") {
        render(page, inner, &name)?;
    }
    Ok(())
}

/// What no option says.
const ENDS: &str = r#".SH EXIT STATUS
0 done; 1 it could not be done; 2 the arguments are wrong; 10 something was returned; 11 something waits; 12 both;
20 a fault was found; 70 the service had to stop and wants to be started again.
.SH FILES
.TP
benchdrop.toml
Addresses, paths and times of day. \fBinit\fR makes one that says what each line is for.
.TP
watch-folder/drop
Where people put files.
.TP
watch-folder/board/board.html
Where every engine stands.
.SH ENVIRONMENT
.TP
BENCHDROP_SMTP_PASSWORD
Password of the mail relay, where no password file is configured.
.SH SIGNALS
SIGTERM and SIGINT end the service cleanly; SIGHUP makes it read its configuration anew.
.SH CAUTION
benchdrop is a record and a calculator. Local codes, the equipment maker's instructions and licensed or qualified
practice govern; where they differ from this program, follow them.
"#;
