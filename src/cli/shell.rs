//! What a shell and its manual reader want of the program: completions, manual pages.

use super::{Arguments, DONE, FAILED, aside, note, say};
use crate::source::write_over;
use clap::{Command, CommandFactory};
use clap_complete::Shell;
use clap_mangen::Man;
use std::io;
use std::path::Path;

pub(super) fn completions(shell: Shell) -> u8 {
    let mut script = vec![];
    clap_complete::generate(shell, &mut Arguments::command(), "droprack", &mut script);
    say(&String::from_utf8_lossy(&script));
    DONE
}

/// The page of the program, or with a folder one of each command too.
pub(super) fn manual_pages(folder: Option<&Path>) -> u8 {
    let mut root = Arguments::command().disable_help_subcommand(true);
    root.build();
    let mut pages = vec![];
    let made = collect(&root, &mut pages);
    let Some(folder) = folder else {
        let first = pages.into_iter().next().map(|(_, page)| page).unwrap_or_default();
        say(&String::from_utf8_lossy(&first));
        return made.map_or(FAILED, |()| DONE);
    };
    let written = made
        .and_then(|()| std::fs::create_dir_all(folder))
        .and_then(|()| pages.iter().try_for_each(|(name, page)| write_over(&folder.join(name), page)));
    match written {
        Ok(()) => {
            aside(&format!("{} manual pages are written to {}\n", pages.len(), folder.display()));
            DONE
        }
        Err(e) => {
            note(&format!("cannot write to {}: {e}\n", folder.display()));
            FAILED
        }
    }
}

/// The pages of a command and of all below it, with the names of their files.
fn collect(command: &Command, pages: &mut Vec<(String, Vec<u8>)>) -> io::Result<()> {
    let name = command.get_display_name().unwrap_or_else(|| command.get_name()).to_string();
    let mut page = vec![];
    Man::new(command.clone()).render(&mut page)?;
    pages.push((format!("{name}.1"), page));
    command.get_subcommands().try_for_each(|c| collect(c, pages))
}
