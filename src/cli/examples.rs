//! Examples in the help of each command. A test runs them all, in this order, in
//! one folder with a job and its bin.

pub(super) const NEW: &str = "Examples:
  droprack new my-tank
  droprack new my-buggy --part tank-strap --part rail-pad --title \"Tank under the buggy\"
  droprack new my-bracket --template lug";

pub(super) const MAKE: &str = "Examples:
  droprack make job.toml
  droprack make job.toml --out made --list
  droprack make job.toml --effort quick --quiet
  droprack make - --out piped < job.toml";

pub(super) const CHECK: &str = "Examples:
  droprack check job.toml
  droprack check job.toml --around tank.width=±5mm
  droprack check my-bracket/lug.toml
  droprack check - < job.toml";

pub(super) const PICTURE: &str = "Examples:
  droprack picture job.toml job.png --from front --from right-corner --shaded
  droprack picture job.toml strap.svg --of \"Tank strap\"";

pub(super) const PAGE: &str = "Examples:
  droprack page job.toml
  droprack page job.toml --no-open --out made
  droprack page

Without a job the page asks what must be held and on what, offers the parts that fit, takes what
you measure, and writes a new folder here when you press its button.

The address works on this machine only, and only with the token in it. Ctrl-C ends it;
nothing is written but what you save, make or book on the page.";

pub(super) const FLAT: &str = "Examples:
  droprack flat job.toml
  droprack flat job.toml --json";

pub(super) const CUT: &str = "Examples:
  droprack cut job.toml
  droprack cut job.toml --bin bin.toml --effort quick";

pub(super) const COMPARE: &str = "Examples:
  droprack compare made/job.json job.toml";

pub(super) const BIN: &str = "Examples:
  droprack bin list --shape \"flat bar\"
  droprack bin book job.toml --out made
  droprack bin undo
  droprack bin add \"flat bar 40 x 3 mm, 872 mm, where rack B\"
  droprack bin edit F-01 \"length=860 mm\"
  droprack bin show F-01
  droprack bin labels --shape \"flat bar\"
  droprack bin check
  droprack bin remove F-01
  droprack bin history --most 5";

pub(super) const PARTS: &str = "Examples:
  droprack parts
  droprack parts tank-strap";

pub(super) const EXPLAIN: &str = "Examples:
  droprack explain
  droprack explain job
  droprack explain hole-outside
  droprack explain --sources";

pub(super) const PRINTER_TEST: &str = "Examples:
  droprack printer-test
  droprack printer-test test-letter.pdf --letter";

pub(super) const SCHEMA: &str = "Examples:
  droprack schema job > job.schema.json";

pub(super) const COMPLETIONS: &str = "Examples:
  droprack completions bash > droprack.bash
  droprack completions zsh > _droprack
  droprack completions fish > droprack.fish";

pub(super) const MANUAL_PAGE: &str = "Examples:
  droprack manual-page > droprack.1
  droprack manual-page man1";

pub(super) const LICENCES: &str = "Examples:
  droprack licences";
