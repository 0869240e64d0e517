//! The command that serves a job's page, or the page that starts a job.

use super::tell::trouble;
use super::{FAILED, aside, note, say};
use crate::run::Request;
use crate::run::first::First;
use crate::run::live::Live;
use crate::run::usual_out;
use crate::serve::{Desk, Limits, Server};
use std::path::PathBuf;
use std::process::{Command, Stdio};

#[derive(Default, clap::Args)]
pub(super) struct PageArguments {
    /// The job file; without one the page asks what is to be built, and writes a new folder here once that is told
    job: Option<PathBuf>,
    /// The scrap bin, instead of the one that the job names
    #[arg(long)]
    bin: Option<PathBuf>,
    /// Where all files are made; usually output/<job's folder>
    #[arg(long)]
    out: Option<PathBuf>,
    /// The port on 127.0.0.1; usually one that is free
    #[arg(long, default_value_t = 0, hide_default_value = true)]
    port: u16,
    /// Only print the address
    #[arg(long)]
    no_open: bool,
}

pub(super) fn page(a: PageArguments) -> u8 {
    let desk = match a.job {
        None => Desk::First(Box::new(First::open(PathBuf::new(), a.bin, a.out))),
        Some(job) => {
            let out = a.out.unwrap_or_else(|| usual_out(&job));
            match Live::open(Request { job, bin: a.bin }, out) {
                Ok(live) => Desk::Job(Box::new(live)),
                Err(t) => return trouble(&t, false),
            }
        }
    };
    let server = match Server::bind(desk, a.port, Limits::default()) {
        Ok(server) => server,
        Err(e) => {
            note(&format!("cannot listen on 127.0.0.1 port {}: {e}\n", a.port));
            return FAILED;
        }
    };
    let address = server.address();
    say(&format!("{address}\n"));
    aside("The page is served to this machine only. Ctrl-C ends it.\n");
    if !a.no_open {
        open(&address);
    }
    match server.run() {
        Ok(()) => super::DONE,
        Err(e) => {
            note(&format!("the server has ended: {e}\n"));
            FAILED
        }
    }
}

/// Open the address in the browser; where that does not work, it is printed already.
fn open(address: &str) {
    let (program, before): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("cmd", &["/c", "start", ""])
    } else {
        ("xdg-open", &[])
    };
    let mut command = Command::new(program);
    let child =
        command.args(before).arg(address).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn();
    // It is waited for aside, so that it does not stay behind as a dead process.
    if let Ok(mut child) = child {
        std::thread::spawn(move || child.wait());
    }
}
