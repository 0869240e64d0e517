//! The pipeline, one function a command: read, answer, build, lay flat, check,
//! plan, write.

mod around;
mod as_made;
mod as_made_play;
mod as_made_strap;
mod as_made_strength;
mod barred;
pub mod bin;
mod buy;
mod check_template;
mod compare;
mod facts;
mod findings;
pub mod first;
mod hardware;
mod layouts;
pub mod live;
mod library;
mod load;
mod make;
mod measure;
mod mend;
mod new;
mod packet;
mod page;
mod pictures;
mod plan;
mod rework;
mod sheets;
mod stand;
mod substitutes;
mod weights;
mod work;

pub use around::around;
pub use check_template::{Break, TemplateReport, check_template, example_answers};
pub use compare::compare;
pub use hardware::Needs;
pub use library::{templates, templates_near};
pub use load::{Loaded, Trouble, load};
pub use make::{Made, make, summary, usual_out, whole_json};
pub use measure::measuring_sheet;
pub use new::{Start, new_folder, printer_test};
pub use pictures::{body_files, picture_of};
pub use plan::plan_cuts;
pub use stand::{Stood, stand_up};
pub use work::{Worked, work_out};

use crate::cut::Effort;
use crate::report::CutPlan;
use crate::source::Files;
use crate::units::Length;
use std::path::PathBuf;

/// What a command is asked to work on.
#[derive(Clone, Debug)]
pub struct Request {
    /// The job file.
    pub job: PathBuf,
    /// The bin, instead of the one that the job names.
    pub bin: Option<PathBuf>,
}

/// Everything about a job but its files.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// What was read.
    pub loaded: Loaded,
    /// Pieces, flat patterns, findings.
    pub worked: Worked,
    /// The cut plan.
    pub plan: CutPlan,
    /// Bodies and how they stand, once they are asked for.
    pub stood: Option<Stood>,
}

impl Outcome {
    /// With bodies within `chord` of their true surfaces (usual: 0.1 mm), and what
    /// the fit says among the findings.
    pub fn standing(mut self, chord: Option<Length>) -> Outcome {
        if self.stood.is_none() {
            self.stood = Some(stand_up(&self.loaded, &mut self.worked, chord));
        }
        self
    }
}

/// From files to flat patterns, findings and the cut plan.
///
/// # Errors
/// All diagnostics at once; nothing was written.
pub fn run(files: &dyn Files, request: &Request) -> Result<Outcome, Trouble> {
    run_with(files, request, Effort::NORMAL)
}

/// The same with more or less patience for the cut plan.
///
/// # Errors
/// As [`run`].
pub fn run_with(files: &dyn Files, request: &Request, effort: Effort) -> Result<Outcome, Trouble> {
    let loaded = load(files, request)?;
    let worked = work_out(&loaded)?;
    let (mut worked, plan) = substitutes::with_substitutes(&loaded, worked, effort);
    mend::mend(&loaded, &mut worked);
    Ok(Outcome { loaded, worked, plan, stood: None })
}
