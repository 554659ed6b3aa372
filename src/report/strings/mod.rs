//! Every sentence of the products in one catalogue a language, with named gaps.
//!
//! To add a language: write `<code>.json` with the same keys and its line in [`LANGUAGES`]. Keys that start with
//! `student.` are read by pupils and are held to an easier grade (`tests/reports/readability.rs`). A key that ends with
//! `@people` takes the place of the one before the `@` where the yard is about people at their food.

use std::collections::BTreeMap;

/// Catalogues by language code.
pub const LANGUAGES: &[(&str, &str)] = &[("en", include_str!("en.json"))];

/// The sentences of one language.
#[derive(Clone, Debug, PartialEq)]
pub struct Strings {
    map: BTreeMap<String, String>,
}

impl Strings {
    /// The catalogue of a language; `None` for an unknown code.
    ///
    /// # Panics
    /// Never: the compiled-in files are tested to read.
    pub fn of(language: &str) -> Option<Strings> {
        let (_, text) = LANGUAGES.iter().find(|(code, _)| *code == language)?;
        let map = serde_json::from_str(text)
            .expect("compiled-in catalogues of sentences are tested to read");
        Some(Strings { map })
    }

    /// The catalogue with the texts for a kind of yard in place of the general ones: `key@kind` in place of `key`.
    #[must_use]
    pub fn about(mut self, kind: &str) -> Strings {
        let own: Vec<(String, String)> = self
            .map
            .iter()
            .filter_map(|(k, v)| Some((k.strip_suffix(kind)?.strip_suffix('@')?.into(), v.clone())))
            .collect();
        self.map.extend(own);
        self
    }

    /// A text as it stands.
    ///
    /// # Panics
    /// For a key that is not there; a test looks for every key that the source names.
    pub fn get(&self, key: &str) -> &str {
        self.map
            .get(key)
            .unwrap_or_else(|| panic!("no text for {key:?}; a test reads all keys of the source"))
    }

    /// Whether there is such a text.
    pub fn has(&self, key: &str) -> bool {
        self.map.contains_key(key)
    }

    /// A text with its gaps filled. `{Name}` is filled like `{name}`, with a capital letter.
    pub fn fill(&self, key: &str, values: &[(&str, &str)]) -> String {
        fill(self.get(key), values)
    }

    /// All keys and texts, in the order of the keys.
    pub fn all(&self) -> impl Iterator<Item = (&str, &str)> {
        self.map.iter().map(|(k, v)| (k.as_str(), v.as_str()))
    }
}

/// The catalogue of the terminal.
///
/// # Panics
/// Never: English is compiled in.
pub fn english() -> Strings {
    Strings::of("en").expect("English is compiled in")
}

/// Fills the gaps of a template in one pass, so that a value that looks like a gap stays as it is.
pub fn fill(template: &str, values: &[(&str, &str)]) -> String {
    let mut out = String::new();
    let mut rest = template;
    while let Some(open) = rest.find('{') {
        out.push_str(&rest[..open]);
        let Some(close) = rest[open..].find('}') else {
            break;
        };
        let name = &rest[open + 1..open + close];
        let lower = name.to_lowercase();
        match values.iter().find(|(n, _)| *n == lower) {
            Some((_, value)) if name == lower => out.push_str(value),
            Some((_, value)) => out.push_str(&capital(value)),
            None => out.push_str(&rest[open..=open + close]),
        }
        rest = &rest[open + close + 1..];
    }
    out.push_str(rest);
    out
}

/// The text with a capital first letter.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| {
        c.to_uppercase().collect::<String>() + chars.as_str()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_are_filled_once_and_capitals_follow_the_template() {
        let values = [("a", "{b} x"), ("b", "no")];
        assert_eq!(fill("{a}, {B}, {c}.", &values), "{b} x, No, {c}.");
    }

    #[test]
    fn texts_about_people_take_the_place_of_general_ones_and_of_no_others() {
        let general = Strings::of("en").expect("English is compiled in");
        let people = general.clone().about("people");
        for (key, text) in general.all() {
            match key.strip_suffix("@people") {
                Some(known) => {
                    assert!(general.has(known), "{key} stands in for no text");
                    assert_eq!(people.get(known), text);
                }
                None if general.has(&format!("{key}@people")) => {}
                None => assert_eq!(people.get(key), text),
            }
        }
    }

    #[test]
    fn every_language_has_the_same_keys() {
        let keys = |code: &str| -> Vec<String> {
            Strings::of(code)
                .into_iter()
                .flat_map(|s| s.all().map(|(k, _)| k.to_owned()).collect::<Vec<_>>())
                .collect()
        };
        for (code, _) in LANGUAGES {
            assert_eq!(keys(code), keys("en"), "{code}");
        }
        assert!(Strings::of("xx").is_none());
    }
}
