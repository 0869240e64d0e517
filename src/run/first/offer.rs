//! Which templates fit what must be carried and what it is fixed to, and what is
//! said where none does.

use super::NOT_SURE;
use crate::template::Template;

/// The choices that templates give, each once: what most of them say comes first.
pub(super) struct Words {
    pub carries: Vec<String>,
    pub fixed_to: Vec<String>,
}

/// Templates to choose from, with a sentence about them.
pub(super) struct Offer<'a> {
    pub says: String,
    pub templates: Vec<&'a Template>,
}

pub(super) fn words(templates: &[Template]) -> Words {
    Words { carries: all_of(templates, "carries"), fixed_to: all_of(templates, "fixed_to") }
}

fn all_of(templates: &[Template], key: &str) -> Vec<String> {
    let mut out: Vec<(String, usize)> = vec![];
    for text in templates.iter().flat_map(|t| t.obj.texts(key)) {
        match out.iter_mut().find(|w| w.0 == text.value) {
            Some(known) => known.1 += 1,
            None => out.push((text.value.clone(), 1)),
        }
    }
    // Stable: among equals the order of the templates stays.
    out.sort_by_key(|w| std::cmp::Reverse(w.1));
    out.into_iter().map(|w| w.0).collect()
}

fn has(t: &Template, key: &str, word: &str) -> bool {
    t.obj.texts(key).iter().any(|w| w.value == word)
}

fn fitting<'a>(templates: &'a [Template], right: &dyn Fn(&Template) -> bool) -> Vec<&'a Template> {
    templates.iter().filter(|t| right(t)).collect()
}

/// The templates for two choices; both empty: nothing is asked yet.
pub(super) fn offered<'a>(templates: &'a [Template], carries: &str, fixed_to: &str) -> Offer<'a> {
    let told = |word: &str| !word.is_empty() && word != NOT_SURE;
    if carries.is_empty() && fixed_to.is_empty() {
        return Offer { says: "Choose above, and what fits stands here.".to_string(), templates: vec![] };
    }
    let all = fitting(templates, &|t| {
        (!told(carries) || has(t, "carries", carries)) && (!told(fixed_to) || has(t, "fixed_to", fixed_to))
    });
    if !told(carries) && !told(fixed_to) {
        let says = format!("All {} parts that droprack knows of here.", all.len());
        return Offer { says, templates: all };
    }
    match all.len() {
        0 => nearest(templates, carries, fixed_to),
        1 => Offer { says: "One part fits.".to_string(), templates: all },
        n => Offer { says: format!("{n} parts fit."), templates: all },
    }
}

/// What it must carry counts more than what it is fixed to.
fn nearest<'a>(templates: &'a [Template], carries: &str, fixed_to: &str) -> Offer<'a> {
    let same = fitting(templates, &|t| has(t, "carries", carries));
    let (near, but) = if same.is_empty() {
        (
            fitting(templates, &|t| has(t, "fixed_to", fixed_to)),
            format!("fixed to \u{201c}{fixed_to}\u{201d}, but carry something else"),
        )
    } else {
        (same, format!("for \u{201c}{carries}\u{201d}, but fixed to something else"))
    };
    let be = if near.len() == 1 { "is" } else { "are" };
    let says =
        format!("No part here is for \u{201c}{carries}\u{201d} on \u{201c}{fixed_to}\u{201d}. The nearest {be} {but}.");
    Offer { says, templates: near }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::run::templates;
    use crate::template::BUILT_IN;

    #[test]
    fn every_built_in_template_says_both() {
        for t in templates() {
            assert!(!t.obj.texts("carries").is_empty() && !t.obj.texts("fixed_to").is_empty(), "{}", t.name);
        }
    }

    #[test]
    fn every_choice_and_every_pair_leads_to_a_template_or_says_that_none_fits() {
        let all = templates();
        let w = words(&all);
        assert!(w.carries.len() > 5 && w.fixed_to.len() > 2);
        let mut without = 0;
        for c in w.carries.iter().map(String::as_str).chain([NOT_SURE, ""]) {
            for f in w.fixed_to.iter().map(String::as_str).chain([NOT_SURE, ""]) {
                let offer = offered(&all, c, f);
                if c.is_empty() && f.is_empty() {
                    assert!(offer.templates.is_empty());
                    continue;
                }
                assert!(!offer.templates.is_empty() && offer.says.ends_with('.'), "{c} on {f}");
                let told = |w: &str| !w.is_empty() && w != NOT_SURE;
                let right = |t: &&Template| (!told(c) || has(t, "carries", c)) && (!told(f) || has(t, "fixed_to", f));
                let fit = all.iter().filter(right).count();
                if fit == 0 {
                    without += 1;
                    assert!(offer.says.contains("No part here is for") && offer.says.contains(c), "{}", offer.says);
                    assert!(offer.templates.iter().all(|t| has(t, "carries", c)), "{c} on {f}");
                } else {
                    assert_eq!(offer.templates.len(), fit, "{c} on {f}");
                    assert!(!offer.says.contains("No part"), "{c} on {f}");
                }
            }
        }
        assert!(without > 0, "some pairs have none, and the sentence was seen");
        assert_eq!(offered(&all, NOT_SURE, "").templates.len(), BUILT_IN.len(), "not sure shows all");
    }

    #[test]
    fn a_template_without_the_words_is_there_for_who_is_not_sure() {
        let mut all = templates();
        let text = all[0].text.lines().filter(|l| !l.starts_with("carries") && !l.starts_with("fixed_to"));
        let text: Vec<&str> = text.collect();
        let silent =
            crate::template::read_template(crate::diag::FileId(0), &text.join("\n"), &mut |_, _| None, &mut vec![]);
        let name = silent.name.clone();
        all[0] = silent;
        assert!(offered(&all, NOT_SURE, NOT_SURE).templates.iter().any(|t| t.name == name));
        assert!(offered(&all, "", "frame rail").templates.iter().all(|t| t.name != name));
    }
}
