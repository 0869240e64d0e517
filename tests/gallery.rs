//! The small jobs of the gallery: what they come out as is committed, and made
//! anew here. `DROPRACK_REWRITE=1 cargo test --test gallery` writes it again
//! after a change that is meant.

#![allow(clippy::unwrap_used)] // in a test a panic is the right end
#![allow(clippy::disallowed_methods)] // the kept results are written in place

use droprack::run::{Request, make, run};
use droprack::source::Disk;
use std::path::{Path, PathBuf};

/// Texts that a person would compare, not pictures or paper.
const KEPT: [&str; 4] = ["cut-plan.txt", "flat-patterns.txt", "findings.txt", "buy-list.txt"];

#[test]
fn the_gallery_is_what_its_jobs_come_out_as() {
    for job in ["garden-railway", "sprayer-trailer"] {
        let request = Request { job: PathBuf::from(format!("templates/jobs/{job}/job.toml")), bin: None };
        let outcome = run(&Disk, &request).unwrap_or_else(|t| panic!("{:?}", t.diagnostics)).standing(None);
        assert!(outcome.plan.uncut() == 0, "{job}: something is not cut");
        let made = make(&outcome).unwrap();
        for name in KEPT {
            let (_, bytes) = made.folder.files().find(|f| f.0 == name).unwrap();
            let path = Path::new("output/gallery").join(job).join(name);
            if std::env::var_os("DROPRACK_REWRITE").is_some() {
                std::fs::create_dir_all(path.parent().unwrap()).unwrap();
                std::fs::write(&path, bytes).unwrap();
            }
            let kept = std::fs::read(&path).unwrap_or_default();
            let text = |b: &[u8]| String::from_utf8_lossy(b).replace("\r\n", "\n");
            assert_eq!(text(&kept), text(bytes), "{}", path.display());
        }
    }
}
