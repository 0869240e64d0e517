//! Booking the plates of a plan, each as a whole.

use super::{Work, bought, words};
use crate::run::Trouble;
use crate::run::bin::back::corners_obj;
use crate::run::bin::bare;
use crate::stock::Booked as BookedRecord;
use std::collections::BTreeSet;

impl Work<'_> {
    pub(super) fn sheet(&mut self, number: usize, earlier: &[BookedRecord]) -> Result<(), Trouble> {
        let sheet = &self.plan.sheets[number];
        if earlier.iter().any(|b| b.plates.contains(&number)) {
            return Ok(());
        }
        let wanted = sheet.placements.iter().filter(|p| self.wanted(&p.part)).count();
        if wanted == 0 {
            return Ok(());
        }
        if wanted < sheet.placements.len() {
            let others: BTreeSet<&str> =
                sheet.placements.iter().map(|p| p.part.as_str()).filter(|p| !self.wanted(p)).collect();
            let others = others.into_iter().map(|o| format!("--only \"{o}\"")).collect::<Vec<_>>().join(" ");
            let message = format!("a plate is booked as a whole: {} also holds other parts", sheet.stock);
            return Err(bare("bin-plan", message, &format!("add {others}")));
        }
        let source = if sheet.bought { None } else { self.before.offcuts().iter().position(|e| e.id == sheet.stock) };
        match source {
            None if !sheet.bought => {
                self.changed.push(format!("{} is no longer in the bin", sheet.stock));
                return Ok(());
            }
            Some(place) if !self.as_planned(&sheet.stock, place) => return Ok(()),
            _ => {}
        }
        if sheet.bought {
            self.booked.bought.push(bought("plate", &sheet.size, &sheet.material, sheet.price));
        } else {
            self.out.push(sheet.stock.clone());
        }
        let from = match source {
            Some(_) => format!("{}, job {}", sheet.stock, self.plan.job),
            None => format!("new plate {}, job {}", sheet.size, self.plan.job),
        };
        for rest in sheet.leftovers.iter().filter(|l| l.kept) {
            let old = source.map(|p| &self.before.obj.list("offcut")[p]);
            let obj = corners_obj(sheet, old, rest, &from);
            let id = self.ids.next("plate");
            self.booked.back.push((id.clone(), words(&obj)));
            self.new.push((id, obj));
        }
        self.record.plates.push(number);
        Ok(())
    }
}
