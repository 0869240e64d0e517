//! The calls about tapped threads and drilling.

use droprack::handbook::drilling::{self, SurfaceSpeed};
use droprack::handbook::tapping::{self, TapThread};
use droprack::handbook::{bolts, material};

use crate::calls::{Found, some};
use crate::row::{Answer, Row};

pub fn thread(row: &Row) -> Found {
    Some(match row.call.as_str() {
        "tap_hole" => thread_of(row).map(|t| Answer::Length(tapping::tap_hole(t.diameter, t.pitch))),
        "tap_drill" => tap_drill(row),
        "eased_tap_drill" => {
            thread_of(row).and_then(|t| some(t.eased_drill(), "larger tap drill")).map(|d| Answer::Length(d.diameter))
        }
        "thread_share" => thread_share(row),
        "engagement" => engagement(row),
        "stripping" => stripping(row),
        "cutting_speed_low" => cutting(row).map(|c| feet(c.low)),
        "cutting_speed_high" => cutting(row).map(|c| feet(c.high)),
        "spindle_speed" => spindle(row),
        _ => return None,
    })
}

fn thread_of(row: &Row) -> Result<&'static TapThread, String> {
    some(tapping::find(row.text("thread")?), "thread")
}

/// The drill, whose name the row prints too.
fn tap_drill(row: &Row) -> Result<Answer, String> {
    let drill = some(thread_of(row)?.drill(), "tap drill")?;
    let named = row.text("named")?;
    if drill.designation != named {
        return Err(format!("the drill is {}, published {named}", drill.designation));
    }
    Ok(Answer::Length(drill.diameter))
}

fn thread_share(row: &Row) -> Result<Answer, String> {
    let t = thread_of(row)?;
    Ok(Answer::Number(tapping::thread_share_percent(t.diameter, t.pitch, row.length("hole")?)))
}

fn engagement(row: &Row) -> Result<Answer, String> {
    let body = some(material::find(row.text("metal")?), "metal")?;
    Ok(Answer::Number(tapping::engagement_multiple(body).0))
}

fn stripping(row: &Row) -> Result<Answer, String> {
    let size = some(bolts::find(row.text("bolt")?), "bolt")?;
    let found = tapping::stripping_length(size, row.stress("bolt_tensile")?, row.stress("body_tensile")?);
    Ok(Answer::Length(some(found, "length")?))
}

fn cutting(row: &Row) -> Result<drilling::CuttingSpeed, String> {
    Ok(drilling::cutting_speed(some(material::find(row.text("metal")?), "metal")?))
}

fn feet(speed: SurfaceSpeed) -> Answer {
    Answer::Number(speed.to_feet_per_minute())
}

fn spindle(row: &Row) -> Result<Answer, String> {
    let speed = SurfaceSpeed::feet_per_minute(row.number("ft_per_min")?);
    Ok(Answer::Number(some(drilling::spindle_speed(speed, row.length("drill")?), "speed")?.to_rpm()))
}
