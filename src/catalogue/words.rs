//! Everyday words for what the catalogue holds and for places in a yard, in every language: one table.
//!
//! Identifiers, names, plurals and scientific names are taken from the files of the catalogue and their translations, so
//! that the table holds only what stands nowhere else.

use super::{CROPS, LURES, METHODS, PESTS, TRAPS};
use crate::say::{LANGUAGES, data};
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// The table.
const WORDS: &str = include_str!("words.json");

/// What a word may stand for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A pest of the catalogue.
    Pest,
    /// A kind of plant.
    Crop,
    /// A kind of trap.
    Trap,
    /// A lure.
    Lure,
    /// A method.
    Method,
    /// A side of the compass.
    Side,
    /// Something that stands in a yard.
    Structure,
    /// A word that says where.
    Place,
    /// A number in words.
    Number,
    /// A unit of length.
    Unit,
    /// How many of the pest.
    Pressure,
    /// An hour of the day.
    Hour,
    /// How the wind blows.
    Wind,
    /// How often, beside a number.
    Often,
    /// A word that says nothing.
    Fill,
}

impl Kind {
    /// Its group in the table.
    pub fn group(self) -> &'static str {
        match self {
            Kind::Pest => "pests",
            Kind::Crop => "crops",
            Kind::Trap => "traps",
            Kind::Lure => "lures",
            Kind::Method => "methods",
            Kind::Side => "sides",
            Kind::Structure => "structures",
            Kind::Place => "places",
            Kind::Number => "numbers",
            Kind::Unit => "units",
            Kind::Pressure => "pressures",
            Kind::Hour => "hours",
            Kind::Wind => "winds",
            Kind::Often => "often",
            Kind::Fill => "fill",
        }
    }

    /// The files of the catalogue that it names.
    pub fn files(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Kind::Pest => PESTS,
            Kind::Crop => CROPS,
            Kind::Trap => TRAPS,
            Kind::Lure => LURES,
            Kind::Method => METHODS,
            _ => &[],
        }
    }

    /// Words after a name that say nothing more.
    fn tails(self) -> &'static [&'static str] {
        match self {
            Kind::Crop => &["plant", "tree", "bush", "vine", "cane", "shrub"],
            Kind::Trap => &["trap"],
            Kind::Lure => &["lure", "bait"],
            _ => &[],
        }
    }
}

type Known = BTreeMap<String, String>;

/// Small letters without hyphens, accents and needless spaces.
pub fn plain(text: &str) -> String {
    let letter = |c: char| match c {
        'á' | 'à' | 'â' | 'ä' => 'a',
        'é' | 'è' | 'ê' | 'ë' => 'e',
        'í' | 'ì' | 'î' | 'ï' => 'i',
        'ó' | 'ò' | 'ô' | 'ö' => 'o',
        'ú' | 'ù' | 'û' | 'ü' => 'u',
        'ñ' => 'n',
        '-' | '_' => ' ',
        '’' => '\'',
        c => c,
    };
    let lower: String = text.to_lowercase().chars().map(letter).collect();
    let words: Vec<&str> = lower.split_whitespace().collect();
    words.join(" ")
}

/// A word and what it may be the plural of.
pub(super) fn singulars(word: &str) -> Vec<String> {
    let mut all = vec![word.to_owned()];
    let mut cut = |end: &str, with: &str| {
        if let Some(stem) = word.strip_suffix(end).filter(|stem| stem.len() > 1) {
            all.push(format!("{stem}{with}"));
        }
    };
    cut("ies", "y");
    cut("ves", "f");
    cut("es", "");
    cut("s", "");
    all
}

fn read() -> BTreeMap<Kind, Known> {
    const ALL: [Kind; 15] = [
        Kind::Pest,
        Kind::Crop,
        Kind::Trap,
        Kind::Lure,
        Kind::Method,
        Kind::Side,
        Kind::Structure,
        Kind::Place,
        Kind::Number,
        Kind::Unit,
        Kind::Pressure,
        Kind::Hour,
        Kind::Wind,
        Kind::Often,
        Kind::Fill,
    ];
    let table: BTreeMap<String, BTreeMap<String, Vec<String>>> = super::read(WORDS);
    let translations = LANGUAGES.iter().map(|(code, _)| data(code));
    let translations: Vec<BTreeMap<String, String>> = translations.collect();
    let of = |kind: Kind| {
        let mut known = Known::new();
        let mut add = |word: &str, id: &str| {
            known.entry(plain(word)).or_insert_with(|| id.to_owned());
        };
        for (id, file) in kind.files() {
            add(id, id);
            let file: Value = super::read(file);
            for key in ["name", "plural", "scientific"] {
                let Some(text) = file[key].as_str() else {
                    continue;
                };
                add(text, id);
                for language in &translations {
                    if let Some(said) = language.get(text) {
                        add(said, id);
                    }
                }
            }
        }
        for (id, words) in table.get(kind.group()).into_iter().flatten() {
            add(id, id);
            for word in words {
                add(word, id);
            }
        }
        (kind, known)
    };
    ALL.into_iter().map(of).collect()
}

fn known(kind: Kind) -> &'static Known {
    static READ: OnceLock<BTreeMap<Kind, Known>> = OnceLock::new();
    &READ.get_or_init(read)[&kind]
}

/// What a word or a name of several words stands for: an identifier of the catalogue, or the first word of its line in the
/// table. Case, hyphens, accents and plurals do not count.
pub fn find(kind: Kind, said: &str) -> Option<&'static str> {
    let (known, said) = (known(kind), plain(said));
    let look = |text: &str| {
        let mut tried = singulars(text).into_iter();
        tried.find_map(|word| known.get(&word))
    };
    let tail = || {
        let (head, last) = said.rsplit_once(' ')?;
        let tails = kind.tails();
        let idle = singulars(last).iter().any(|w| tails.contains(&w.as_str()));
        idle.then(|| look(head)).flatten()
    };
    look(&said).or_else(tail).map(String::as_str)
}

/// The word of the table that is nearest to a mistyped one, if any is near enough to be worth saying; an identifier as it
/// is written in files.
pub fn near(kind: Kind, said: &str) -> Option<String> {
    let said = plain(crate::units::shortened(said).as_str());
    let far = |word: &str| strsim::damerau_levenshtein(&said, word);
    // Of words as near as each other the identifier.
    let nearest = |(word, id): &(&String, &String)| (far(word), plain(id) != **word);
    let (word, id) = known(kind).iter().min_by_key(nearest)?;
    let (off, letters) = (far(word), word.chars().count());
    let near = if plain(id) == *word { id } else { word };
    (off <= (letters / 3).max(1) && off < letters).then(|| near.clone())
}

/// Other words for a thing than its identifier, as the table has them.
pub fn others(kind: Kind, id: &str) -> Vec<String> {
    let mut table: BTreeMap<String, BTreeMap<String, Vec<String>>> = super::read(WORDS);
    let group = table.remove(kind.group());
    group
        .and_then(|mut lines| lines.remove(id))
        .unwrap_or_default()
}

/// Words that stand for more than one thing of a kind, for the tests.
pub fn doubles() -> Vec<String> {
    let table: BTreeMap<String, BTreeMap<String, Vec<String>>> = super::read(WORDS);
    let mut out = Vec::new();
    for (group, lines) in &table {
        let mut seen: BTreeMap<String, &str> = BTreeMap::new();
        for (id, words) in lines {
            for word in words.iter().chain([id]) {
                let before = seen.insert(plain(word), id);
                if before.is_some_and(|other| other != id) {
                    out.push(format!("{group}: {word}"));
                }
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_stands_for_one_thing() {
        assert!(doubles().is_empty(), "{:?}", doubles());
        let table: BTreeMap<String, BTreeMap<String, Vec<String>>> = crate::catalogue::read(WORDS);
        for kind in [Kind::Pest, Kind::Crop, Kind::Trap, Kind::Lure, Kind::Method] {
            for (id, words) in &table[kind.group()] {
                assert!(kind.files().iter().any(|(known, _)| known == id), "{id}");
                for word in words {
                    assert_eq!(find(kind, word), Some(id.as_str()), "{word}");
                }
            }
        }
    }

    #[test]
    fn names_are_known_by_any_case_plural_language_and_spelling() {
        let japanese = Some("japanese-beetle");
        for said in [
            "japanese-beetle",
            "Japanese Beetles",
            "POPILLIA japonica",
            "escarabajos japoneses",
        ] {
            assert_eq!(find(Kind::Pest, said), japanese, "{said}");
        }
        for (said, id) in [
            ("rose bushes", "rose"),
            ("Apple trees", "apple"),
            ("strawberries", "strawberry"),
            ("fresas", "strawberry"),
            ("Tomatoes", "tomato"),
        ] {
            assert_eq!(find(Kind::Crop, said), Some(id), "{said}");
        }
        assert_eq!(find(Kind::Method, "Hand-picking"), Some("hand-removal"));
        assert_eq!(find(Kind::Pest, "elephant"), None);
        assert_eq!(
            near(Kind::Pest, "japanese beatle").as_deref(),
            Some("japanese-beetle")
        );
        assert_eq!(near(Kind::Pest, "elephant"), None);
    }
}
