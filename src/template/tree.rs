//! A template and those that it uses, as one tree.

use super::Template;
use super::uses::told;
use crate::source::Obj;
use std::sync::Arc;

impl Template {
    /// One of its questions.
    pub(super) fn ask(&self, name: &str) -> Option<&Obj> {
        self.obj.named("ask").iter().find(|a| a.0 == name).map(|a| &a.2)
    }

    /// What each template that it uses is called here, and which template it is.
    pub fn uses(&self) -> Vec<(&str, &str)> {
        let all = self.obj.list("uses").iter();
        all.map(|u| (u.word("name").unwrap_or(""), u.word("template").unwrap_or(""))).collect()
    }

    /// The use with this name, and its template.
    fn use_of(&self, name: &str) -> Option<(&Obj, &Arc<Template>)> {
        let mut all = self.obj.list("uses").iter().zip(&self.used);
        let (obj, inner) = all.find(|(u, _)| u.word("name") == Some(name))?;
        inner.as_ref().map(|t| (obj, t))
    }

    /// The template that one of its pieces comes from, and what the piece is called there.
    pub fn home_of<'a>(&'a self, piece: &'a str) -> (&'a Template, &'a str) {
        let own = self.obj.list("piece").iter().any(|p| p.word("name") == Some(piece));
        match piece.split_once('/').filter(|_| !own) {
            Some((name, rest)) => self.use_of(name).map_or((self, piece), |(_, t)| t.home_of(rest)),
            None => (self, piece),
        }
    }

    /// The question of this template that a name in the template of a piece goes back to,
    /// where each answer on the way is the plain name of a value.
    pub fn asked_as(&self, piece: &str, name: &str) -> Option<String> {
        let plain = |t: &Template, n: &str| t.ask(n).map(|_| n.to_string());
        let Some((called, rest)) = piece.split_once('/') else { return plain(self, name) };
        let Some((uses, inner)) = self.use_of(called) else { return plain(self, name) };
        let asked = inner.asked_as(rest, name)?;
        plain(self, told(uses, &asked)?.value.trim())
    }

    /// What hangs on it, or on a template that it uses: `fuel`, `steering`, `brakes`, or nothing.
    pub fn holds(&self) -> &str {
        let own = self.obj.word("holds").unwrap_or("");
        let inner = || self.used.iter().flatten().map(|t| t.holds()).find(|h| !h.is_empty());
        if own.is_empty() { inner().unwrap_or("") } else { own }
    }

    /// Whether it says so of itself, or a template that it uses does.
    pub fn says_so(&self, key: &str) -> bool {
        self.obj.flag(key) == Some(true) || self.used.iter().flatten().any(|t| t.says_so(key))
    }

    /// All templates that it uses, those that they use included.
    pub fn all_used(&self) -> Vec<&Template> {
        self.used.iter().flatten().flat_map(|t| [vec![t.as_ref()], t.all_used()].concat()).collect()
    }

    /// How deep templates below it use one another.
    pub fn depth(&self) -> usize {
        self.used.iter().flatten().map(|t| 1 + t.depth()).max().unwrap_or(0)
    }

    /// How many templates one part of it is, itself included.
    pub fn breadth(&self) -> usize {
        self.used.iter().flatten().fold(1, |n: usize, t| n.saturating_add(t.breadth()))
    }
}
