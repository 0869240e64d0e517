//! A folder with a job and a bin to start from.

use crate::source::OutFolder;

const JOB: &str = include_str!("../../templates/jobs/starter/job.toml");
const BIN: &str = include_str!("../../templates/jobs/starter/bin.toml");

/// The files of a new job folder.
///
/// # Errors
/// A sentence, should a name be taken (it never is).
pub fn new_folder() -> Result<OutFolder, String> {
    let mut folder = OutFolder::default();
    folder.add("job.toml", JOB.as_bytes().to_vec())?;
    folder.add("bin.toml", BIN.as_bytes().to_vec())?;
    Ok(folder)
}
