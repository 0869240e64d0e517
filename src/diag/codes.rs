//! Every code of a diagnostic: what it means, and how to mend it.
//!
//! A code is kebab-case, stands here once, and is never used again for
//! something else. A message says what was found, what is allowed and what to
//! do, in plain words; colour is only an extra.

/// A code with its words.
#[derive(Clone, Copy, Debug)]
pub struct Code {
    /// The code.
    pub code: &'static str,
    /// What it means.
    pub means: &'static str,
    /// How to mend it.
    pub mend: &'static str,
    /// A line at fault and the line mended; empty where a line cannot show it.
    pub example: (&'static str, &'static str),
}

const fn code(
    code: &'static str,
    means: &'static str,
    mend: &'static str,
    wrong: &'static str,
    right: &'static str,
) -> Code {
    Code { code, means, mend, example: (wrong, right) }
}

/// All codes, by the stage at which they are told.
#[rustfmt::skip]
pub const CODES: &[Code] = &[
    // the file as such
    code("file", "a file cannot be read", "check the path; it must be a text file in UTF-8", "", ""),
    code("file-too-large", "a file has more than 4 MB", "split it", "", ""),
    code("not-a-job", "a template or a bin was given where a job is needed", "give the job file; look through a template with droprack check", "", ""),
    code("toml-syntax", "a line is not written as the file's form (TOML) wants it", "text and values with units stand in double quotes; one key, one equals sign, one value a line", "gap = 600 mm", "gap = \"600 mm\""),
    code("unknown-form", "the file was written for another droprack", "use a newer droprack, or write form = 1", "form = 2", "form = 1"),
    code("single-block", "a block of which there can be several has single brackets", "write two brackets", "[part]", "[[part]]"),
    code("unknown-key", "a key is not known in its block", "correct its spelling; the message lists the keys that there are", "lenght = \"200 mm\"", "length = \"200 mm\""),
    code("missing-key", "a key that must be there is missing", "add the line that the message gives", "", ""),
    code("one-of-these", "of some keys exactly one must be there", "leave one out, or add one", "{ flat = \"40 mm\", bend = \"90 deg\" }", "{ flat = \"40 mm\" }"),
    code("needs-company", "a key needs another one beside it", "add the other one", "{ bend = \"90 deg\" }", "{ bend = \"90 deg\", turn = \"up\" }"),
    code("misplaced-key", "a key has no meaning where it stands", "take it out, or change the word that it hangs on", "outline = \"disc\" with length = \"80 mm\"", "outline = \"disc\" with diameter = \"80 mm\""),
    code("wrong-kind", "a key holds another kind of value than it needs", "write the kind that the message names", "make = true", "make = 2"),
    code("unknown-word", "a word is not one of the choices", "choose one of the words that the message lists", "units = \"metric\"", "units = \"mm\""),
    code("bad-name", "a name cannot be the name of a value", "use letters, digits and _, begin with a letter, and keep clear of units", "rail-gap = \"281 mm\"", "rail_gap = \"281 mm\""),
    // values and formulas
    code("formula", "a value or formula cannot be read", "correct the underlined place", "\"(gap + 3 mm\"", "\"(gap + 3 mm)\""),
    code("unknown-name", "a formula uses a name that nothing defines", "correct its spelling, or add the value", "\"2 * gpa\"", "\"2 * gap\""),
    code("wrong-dimension", "a formula comes out as another kind of measure than it must", "add the missing unit, or correct the formula", "length = \"gap * gap\"", "length = \"gap\""),
    code("not-a-count", "a whole number is needed", "give a whole number, or use whole_up( ) or whole_down( )", "make = 1.5", "make = 2"),
    code("outside-limits", "a value lies outside of what is allowed", "check the reading; the message shows the limit and how the value came about", "left_end = \"5 deg\"", "left_end = \"45 deg\""),
    code("circle-of-values", "values are worked out from one another in a circle", "give one of them a value of its own", "a = \"b\" with b = \"a\"", "a = \"600 mm\" with b = \"a\""),
    code("chain-too-long", "a value hangs on a chain of more than 500 others", "measure one in the middle of the chain", "", ""),
    code("open-brace", "in a sentence a { is never closed", "close it with }", "\"drill {size\"", "\"drill {size}\""),
    code("unused-value", "a value is written and nothing uses it", "use it, or take the line out; often its name is misspelt somewhere", "", ""),
    code("three-numbers", "a place or a size in space has not three numbers", "give x, y and z", "at = [\"10 mm\", \"0 mm\"]", "at = [\"10 mm\", \"0 mm\", \"0 mm\"]"),
    code("too-many-places", "a part has more places on the vehicle than it is made times", "take one out, or make more", "", ""),
    // steel
    code("bad-size", "the size of stock cannot be read", "write the sizes between x, with one unit at the end", "size = \"40x40x3\"", "size = \"40 x 40 x 3 mm\""),
    code("bad-outline", "an offcut of plate has an outline or a hole that cannot be", "give the corners in order round the plate, from its lower left; holes wholly inside it", "outline = [\"0, 0\", \"9 mm, 0\"]", "outline = [\"0 mm, 0 mm\", \"600 mm, 0 mm\", \"0 mm, 300 mm\"]"),
    code("bad-accept", "what may stand in for stock is no size, no material and no known word", "write a size, a material, or wider, thicker, ripped", "accept = [\"bigger\"]", "accept = [\"40 x 3 mm\", \"thicker\"]"),
    code("bad-gauge", "a gauge is given without its table, or for a shape or metal that the table is not for", "write 16 gauge sheet steel for sheet, else measure the thickness", "size = \"16 gauge\"", "size = \"16 gauge sheet steel\""),
    code("bad-price", "a price cannot be read", "write digits with at most 4 decimals", "price = -3", "price = 12.60"),
    code("unknown-material", "a material is not in the handbook", "choose one that the message lists", "material = \"mild steal\"", "material = \"mild steel\""),
    code("bin-line", "a line for the scrap bin, or a filter, is not understood", "write shape and size first, then the other parts between commas", "flat bar 40 x 3, 872", "flat bar 40 x 3 mm, 872 mm"),
    code("bin-id", "there is no offcut of this id in the bin", "droprack bin list shows all ids", "", ""),
    code("bin-write", "the bin cannot be written", "mend what the disk says and run the command again; the bin is as it was", "", ""),
    code("bin-inline", "the bin is written in a way that single offcuts cannot be changed in", "write each offcut as a block of its own", "offcut = [{ id = \"F-01\" }]", "[[offcut]]"),
    code("steering-run", "a joint of a steering run has a bore deeper than it reaches", "measure from the middle of the cross to the open end, and into the bore", "reach = \"20 mm\"\nbore = \"25 mm\"", "reach = \"40 mm\"\nbore = \"25 mm\""),
    code("layout", "a tank mount, a steering run or a pedal cannot be worked out from what was measured", "the message says which number it is; measure it again", "", ""),
    code("around", "a reading to be varied is not one of the job, or the amount cannot be read", "name a measured value and an amount", "--around tank.widht=±5mm", "--around tank.width=±5mm"),
    code("old-record", "the record of an earlier run cannot be read", "give the job file of then, or the job.json that make has written", "", ""),
    code("bin-record", "a record of the bin's history cannot be read", "move the file out of the folder of records", "", ""),
    code("bin-undo", "the change cannot be taken back", "what it changed was edited by hand since: change it by hand, or with droprack bin edit", "", ""),
    code("bin-plan", "there is no plan to book, or not one that can be booked so", "run droprack make first, and book with the same output folder", "", ""),
    code("bin-left", "what was left of a bar cannot be", "measure again, and name a bar that the plan cuts", "", ""),
    code("bin-changed", "an offcut that the plan uses has changed since the plan was made", "make the plan anew, or mend the bin", "", ""),
    code("bin-booked", "the plan is booked already", "droprack bin undo takes a booking back", "", ""),
    code("same-id", "two offcuts have one id", "give one of them another id", "", ""),
    // the job
    code("empty-job", "a job asks for nothing", "add a [[part]], a [[cut]] or a [[blank]]", "", ""),
    code("same-name", "two things have one name", "give each its own; capitals and marks do not count", "", ""),
    code("make-and-copies", "a part has `make` and copies of its own", "leave `make` out", "", ""),
    code("unknown-piece", "the job has no piece of this name", "correct its name; the lists call it part/piece", "piece = \"Tank strap\"", "piece = \"Tank strap/strap\""),
    code("unknown-hole", "the piece has no hole of this letter or name, or several of the name", "give its letter from the drilling template", "hole = \"Z\"", "hole = \"A\""),
    code("unknown-template", "there is no such template", "correct its name; droprack parts lists the built-in ones", "template = \"tank-stap\"", "template = \"tank-strap\""),
    code("template-name", "a template file and its template have two names", "give both the same name", "", ""),
    code("own-template", "a template beside the job is used in the place of a built-in one", "nothing, if that is meant", "", ""),
    code("missing-answer", "a question of a template is not answered and has no usual answer", "add the line that the message gives", "", ""),
    code("unknown-answer", "a template does not ask for this", "correct the name; droprack parts NAME lists the questions", "with.widht = \"340 mm\"", "with.width = \"340 mm\""),
    code("unknown-load", "a part names a load that the job does not have", "correct its name, or add a [[load]] block", "with.load = \"tank\"", "with.load = \"full tank\""),
    code("unknown-check", "a template uses a named check that there is not", "correct its name; droprack explain checks lists them", "use = \"strap-pul\"", "use = \"strap-pull\""),
    code("overrule", "a refusal is overruled without a reason, or something is overruled that is no refusal", "write a sentence; droprack explain checks lists the refusals", "reason = \"ok\"", "reason = \"bar bought with its certificate, heat number 41\""),
    code("check-argument", "a named check is told something it does not take, or not what it needs", "droprack explain with the name of the check lists what it is told", "", ""),
    code("too-many-pieces", "a job has more pieces than can be worked out", "split the job", "", ""),
    // the template
    code("no-piece", "a template makes no piece, or has both one piece and [[piece]] blocks", "add [strip], [plate] or [section], or [[piece]] blocks", "", ""),
    code("no-form", "a piece has not exactly one form", "give it one of strip, plate, section", "", ""),
    code("stock-differs", "a piece and the stock that it is cut from do not fit", "use the same values for both", "", ""),
    code("unknown-flat", "a hole, or an [[as_made]], names a flat that the strip does not have", "use the name of a flat", "on = \"eer\"", "on = \"ear\""),
    code("unknown-face", "a hole or an end names a face that the section does not have", "use one of the faces that the message lists", "on = \"left\"", "on = \"top\""),
    code("empty-pattern", "a hole pattern has no hole, or more than 1,000", "check its counts, or leave it out with `when`", "", ""),
    code("circle-of-templates", "a template uses itself, by itself or through others", "take one of the [[uses]] out", "", ""),
    code("too-many-uses", "templates use one another more than 4 deep, or more than 200 of them in one part", "copy what is needed of the last one into the template that uses it", "", ""),
    code("left-out", "a formula asks for a value of a used template that is left out by its `when`", "ask for it only where it is there", "\"pad.height\"", "\"if padded then pad.height else 0 mm\""),
    // what cannot be made
    code("impossible-section", "the sizes of a section cannot be", "check shape and sizes, in the trade's order", "", ""),
    code("impossible-outline", "the outline of a plate cannot be made", "make the corners smaller or the plate larger", "", ""),
    code("impossible-size", "a size is nothing, negative or too large", "check what it is worked out from", "", ""),
    code("outline-crosses-itself", "the outline of a plate crosses itself", "check the order of its corners", "", ""),
    code("no-corner", "a flat beside a bend of 180 deg or more has no corner to measure to", "give this flat with measured = \"straight\"", "", ""),
    code("no-step", "a step of a strip is not a flat or a bend", "write one of the two", "", ""),
    code("too-many-steps", "a strip has more than 200 flats and bends", "make it of several pieces", "", ""),
    code("flat-too-short", "nothing is left of a flat between its bends", "make it longer, or the bends smaller", "", ""),
    code("impossible-bend", "a bend cannot be made", "check its angle and radius", "", ""),
    code("strip-without-ends", "a strip does not begin and end with a flat", "begin and end with a flat", "", ""),
    code("impossible-end", "the end of a piece does not fit on it", "make the end smaller, or the piece longer", "", ""),
    code("ends-meet", "the two ends of a section meet", "make it longer, or its ends steeper", "", ""),
    code("too-many-holes", "a piece has more than 1,000 holes", "leave some out", "", ""),
    code("hole-outside", "a hole leaves the metal", "move it, make it smaller, or the piece larger", "", ""),
    code("holes-meet", "two holes run into each other", "move one of them", "", ""),
];

/// The words of a code.
pub fn find_code(name: &str) -> Option<&'static Code> {
    CODES.iter().find(|c| c.code == name)
}
