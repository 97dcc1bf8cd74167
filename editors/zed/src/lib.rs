//! Starts `fourfold serve` for ABC scores in Zed.
use zed_extension_api::{self as zed, LanguageServerId, Result, Worktree};

struct Fourfold;

impl zed::Extension for Fourfold {
    fn new() -> Self {
        Fourfold
    }

    fn language_server_command(
        &mut self,
        _: &LanguageServerId,
        worktree: &Worktree,
    ) -> Result<zed::Command> {
        let command = worktree
            .which("fourfold")
            .ok_or_else(|| "the program `fourfold` is not on the PATH; build it with `go install ./cmd/fourfold` in its sources".to_string())?;
        Ok(zed::Command {
            command,
            args: vec!["serve".to_string()],
            env: worktree.shell_env(),
        })
    }
}

zed::register_extension!(Fourfold);
