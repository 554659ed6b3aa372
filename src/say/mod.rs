//! Every sentence that the program prints, draws or writes, one catalogue a language, with named gaps.
//!
//! A catalogue is a folder (`en`, `es`) of rooms: `pages.json` for the pages, `fault.json` for what is wrong with an input, and
//! so on. A key stands in one room only. The code names a key and fills its gaps (`say!`); it holds no sentence of its own
//! (`tests/architecture.rs`).
//!
//! To add a language: a folder with the same rooms and keys and its line in [`LANGUAGES`], and its texts for the data of the
//! catalogue in [`DATA`]. Keys that start with `student.` are
//! read by pupils and are held to an easier grade (`tests/reports/readability.rs`); those that start with `detail.` are for
//! those who asked for the technical lines. A key that ends with `@people` takes the place of the one before the `@` where the
//! yard is about people at their food, `@fruit` where fruit is harmed and no leaf; one that ends with `.one` that of the one before it where a count is one.

use std::collections::BTreeMap;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Gives the rooms of a catalogue to a macro.
macro_rules! rooms {
    ($make:ident $($language:literal)?) => {
        $make!($($language)?; "pages" "names" "result" "place" "study" "figure" "season" "weather" "yard" "fault" "terminal" "page")
    };
}

macro_rules! names {
    (; $($room:literal)+) => { &[$($room),+] };
}

macro_rules! texts {
    ($language:literal; $($room:literal)+) => {
        &[$(include_str!(concat!($language, "/", $room, ".json"))),+]
    };
}

/// Rooms of every catalogue, in the order of their texts in [`LANGUAGES`].
pub const ROOMS: &[&str] = rooms!(names);

/// Catalogues by language code: the texts of their rooms.
pub const LANGUAGES: &[(&str, &[&str])] = &[("en", rooms!(texts "en")), ("es", rooms!(texts "es"))];

/// The language that the program speaks, as its place in [`LANGUAGES`].
static SPOKEN: AtomicUsize = AtomicUsize::new(0);

/// Chooses the language of all that follows; whether there is such a language.
pub fn speak(code: &str) -> bool {
    let at = LANGUAGES.iter().position(|(known, _)| *known == code);
    if let Some(at) = at {
        SPOKEN.store(at, Ordering::Relaxed);
    }
    at.is_some()
}

/// The catalogue of the language that is spoken: English until [`speak`] says otherwise.
pub fn voice() -> &'static Strings {
    static READ: [OnceLock<Strings>; LANGUAGES.len()] =
        [const { OnceLock::new() }; LANGUAGES.len()];
    let at = SPOKEN.load(Ordering::Relaxed);
    READ[at].get_or_init(|| Strings::read(LANGUAGES[at].1))
}

/// A sentence of the language that is spoken, with its gaps filled by anything that can be displayed:
/// `say!("fault.size", width = 3.5, unit)`.
macro_rules! say {
    ($key:expr) => {
        $crate::say::voice().get($key).to_owned()
    };
    ($key:expr, $($gap:ident $(= $value:expr)?),+ $(,)?) => {
        $crate::say::voice().fill($key, &[$((stringify!($gap), &$crate::say::shown(say!(@ $gap $(= $value)?)))),+])
    };
    (@ $gap:ident = $value:expr) => { &$value };
    (@ $gap:ident) => { &$gap };
}
pub(crate) use say;

/// The value of a gap as text.
pub fn shown(value: &dyn std::fmt::Display) -> String {
    value.to_string()
}

/// The key for a count: `key.one` where it is one and there is such a text, else `key`.
pub fn counted(key: &str, n: u64) -> String {
    let one = format!("{key}.one");
    if n == 1 && voice().has(&one) {
        one
    } else {
        key.to_owned()
    }
}

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
        let (_, rooms) = LANGUAGES.iter().find(|(code, _)| *code == language)?;
        Some(Strings::read(rooms))
    }

    fn read(rooms: &[&str]) -> Strings {
        let mut map = BTreeMap::new();
        for room in rooms {
            let room: BTreeMap<String, String> = serde_json::from_str(room)
                .expect("compiled-in catalogues of sentences are tested to read");
            map.extend(room);
        }
        Strings { map }
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

    /// What stands below everything in a language that was translated from the first one; `None` in the first.
    pub fn mark(&self) -> Option<&str> {
        (self.get("language") != LANGUAGES[0].0).then(|| self.get("language.mark"))
    }

    /// All keys and texts, in the order of the keys.
    pub fn all(&self) -> impl Iterator<Item = (&str, &str)> {
        self.map.iter().map(|(k, v)| (k.as_str(), v.as_str()))
    }
}

/// What the data of the catalogue says in English (names, cautions, questions and answers), in the other languages: by
/// language code, a file of English text and its translation. English needs none. [`crate::catalogue::texts`] lists
/// what it must hold.
pub const DATA: &[(&str, &str)] = &[("es", include_str!("es/data.json"))];

/// The translations of the data into a language, by the English text; empty for English.
///
/// # Panics
/// Never: the compiled-in files are tested to read.
pub fn data(code: &str) -> BTreeMap<String, String> {
    let file = DATA.iter().find(|(known, _)| *known == code);
    file.map_or_else(BTreeMap::new, |(_, text)| {
        serde_json::from_str(text).expect("compiled-in translations are tested to read")
    })
}

/// A text of the data in the language that is spoken; itself where nobody has translated it.
pub fn translated(text: &str) -> &str {
    static READ: [OnceLock<BTreeMap<String, String>>; LANGUAGES.len()] =
        [const { OnceLock::new() }; LANGUAGES.len()];
    let at = SPOKEN.load(Ordering::Relaxed);
    let read = READ[at].get_or_init(|| data(LANGUAGES[at].0));
    read.get(text).map_or(text, String::as_str)
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
    fn texts_about_a_kind_of_yard_take_the_place_of_general_ones_and_of_no_others() {
        let general = Strings::of("en").expect("English is compiled in");
        for kind in ["people", "fruit"] {
            let about = general.clone().about(kind);
            for (key, text) in general.all() {
                match key.strip_suffix(&format!("@{kind}")) {
                    Some(known) => {
                        assert!(general.has(known), "{key} stands in for no text");
                        assert_eq!(about.get(known), text);
                    }
                    None if general.has(&format!("{key}@{kind}")) => {}
                    None => assert_eq!(about.get(key), text),
                }
            }
        }
    }

    #[test]
    fn a_key_stands_in_one_room_only() {
        for (code, rooms) in LANGUAGES {
            let mut all = std::collections::BTreeSet::new();
            for room in *rooms {
                let room: BTreeMap<String, String> = serde_json::from_str(room).expect("reads");
                for key in room.into_keys() {
                    assert!(all.insert(key.clone()), "{code}: {key} twice");
                }
            }
        }
    }

    #[test]
    fn every_language_has_the_same_gaps() {
        let gaps = |text: &str| -> std::collections::BTreeSet<String> {
            let parts = text.split('{').skip(1).filter_map(|p| p.split_once('}'));
            parts.map(|(gap, _)| gap.to_lowercase()).collect()
        };
        let english = Strings::of("en").expect("English is compiled in");
        for (code, _) in LANGUAGES {
            let other = Strings::of(code).expect("listed");
            for (key, text) in english.all() {
                assert_eq!(gaps(other.get(key)), gaps(text), "{code}: {key}");
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
