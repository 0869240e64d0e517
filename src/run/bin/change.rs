//! Editing and removing single offcuts.

use super::{Change, Ids, Opened, bare, disk, has_landed, last_record, opened, write};
use crate::run::Trouble;
use crate::source::{Guard, Want, nearest, quoted};
use crate::stock::OFFCUT;
use crate::stock::edit::{apply, set_key, take_out};
use std::collections::BTreeSet;
use std::path::Path;

/// Change keys of one offcut; an empty value takes the key out.
///
/// # Errors
/// An id or a key that is not there, a value that cannot be; a bin that cannot
/// be read or written. The bin is then as it was.
pub fn edit(bin: &Path, id: &str, keys: &[(String, String)]) -> Result<String, Trouble> {
    let guard = Guard::take(bin, &has_landed).map_err(|e| disk(&e))?;
    let last = last_record(&guard)?;
    let before = opened(bin, guard.text())?;
    let index = before.find(id)?;
    let mut text = before.text.clone();
    let mut edits = vec![];
    for (key, value) in keys {
        let written = as_toml(key, value)?;
        let blocks = before.blocks(&text)?;
        if let Some(edit) = set_key(&text, &blocks[index], key, written.as_deref()) {
            text = apply(&text, std::slice::from_ref(&edit)).map_err(|e| bare("bin-write", e, "run it again"))?;
            edits.push(edit);
        }
    }
    let mut touched = BTreeSet::from([id.to_string()]);
    touched.extend(keys.iter().filter(|k| k.0 == "id").map(|k| k.1.clone()));
    let all: Vec<String> = keys.iter().map(|(k, v)| format!("{k} = {v}")).collect();
    let says = format!("{id}: {}", all.join(", "));
    let ids = Ids::of(before.offcuts(), last.as_ref().map(|l| &l.1));
    let change = Change { what: "edit", says: says.clone(), edits, touched, ..Change::default() };
    write(bin, guard, last.as_ref(), &before, ids, change)?;
    Ok(says)
}

/// A value as it stands in the file; `None` where it is taken out.
fn as_toml(key: &str, value: &str) -> Result<Option<String>, Trouble> {
    let Some(field) = OFFCUT.iter().find(|f| f.key == key) else {
        let known: Vec<&str> = OFFCUT.iter().map(|f| f.key).collect();
        let near = nearest(key, known.iter().copied()).map(|n| format!("did you mean {n}? ")).unwrap_or_default();
        let help = format!("{near}an offcut can have: {}", known.join(", "));
        return Err(bare("unknown-key", format!("an offcut has no key {key}"), &help));
    };
    if value.is_empty() && field.must {
        return Err(bare("missing-key", format!("an offcut needs its {key}"), "give it another value"));
    }
    if value.is_empty() {
        return Ok(None);
    }
    let parts = |mark: &str| -> Vec<String> { value.split(mark).map(|v| quoted(v.trim())).collect() };
    match field.want {
        Want::Bool if value == "true" || value == "false" => Ok(Some(value.to_string())),
        Want::Bool => Err(bare("wrong-kind", format!("{key} is {value}"), "write true or false")),
        Want::Texts => Ok(Some(format!("[{}]", parts(";").join(", ")))),
        Want::Exprs(_) => Ok(Some(format!("[{}]", parts(",").join(", ")))),
        Want::List(_) => {
            let help = "edit the bin by hand for holes, or remove the offcut and add it with its holes";
            Err(bare("wrong-kind", format!("{key} cannot be changed in one value"), help))
        }
        _ => Ok(Some(quoted(value))),
    }
}

/// Take offcuts out of the bin.
///
/// # Errors
/// An id that is not there; a bin that cannot be read or written.
pub fn remove(bin: &Path, ids: &[String]) -> Result<(), Trouble> {
    let guard = Guard::take(bin, &has_landed).map_err(|e| disk(&e))?;
    let last = last_record(&guard)?;
    let before = opened(bin, guard.text())?;
    let (_, edits) = taken_out(&before, ids)?;
    let numbers = Ids::of(before.offcuts(), last.as_ref().map(|l| &l.1));
    let touched = ids.iter().cloned().collect();
    let change = Change { what: "remove", says: ids.join(", "), edits, touched, ..Change::default() };
    write(bin, guard, last.as_ref(), &before, numbers, change)?;
    Ok(())
}

/// The text without these offcuts, and the edits that lead there.
pub(super) fn taken_out(before: &Opened, ids: &[String]) -> Result<(String, Vec<crate::stock::edit::Edit>), Trouble> {
    let mut places = vec![];
    for id in ids {
        let place = before.find(id)?;
        if places.contains(&place) {
            return Err(bare("bin-id", format!("{id} is named twice"), "name it once"));
        }
        places.push(place);
    }
    // From the last one up, so that the places above stay what they are.
    places.sort_unstable_by(|a, b| b.cmp(a));
    let blocks = before.blocks(&before.text)?;
    let mut text = before.text.clone();
    let mut edits = vec![];
    for place in places {
        let edit = take_out(&text, &blocks[place]);
        text = apply(&text, std::slice::from_ref(&edit)).map_err(|e| bare("bin-write", e, "run it again"))?;
        edits.push(edit);
    }
    Ok((text, edits))
}
