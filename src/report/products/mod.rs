//! Results in, pages out: help-desk text, handout, slides, class pack, poll, evidence panel, tables, moving picture.
//!
//! Nothing here runs a simulation. [`results`] reads the files of a folder, [`story`] turns them into sentences of the
//! catalogue, and each product is a file of its own. To add one: its file, its variant in [`Product`], its line in [`build`].

mod class;
mod evidence;
pub mod game;
#[cfg(feature = "pictures")]
mod gif;
mod handout;
mod help_desk;
mod index;
pub mod overview;
pub mod page;
mod pictures;
mod poll;
pub mod results;
pub mod show;
pub mod slides;
pub mod story;
pub mod summer;
mod tables;

use crate::catalogue::Guild;
use crate::report::provenance::{Facts, Manifest};
use crate::say::{LANGUAGES, Strings, say};
use results::Results;
use serde::Serialize;
use story::Story;

/// What can be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Product {
    /// A paragraph for the help desk.
    HelpDesk,
    /// One or two pages.
    Handout,
    /// Slide pictures with notes.
    Slides,
    /// Prediction, student and teacher sheets, and the game on paper.
    Class,
    /// Poll before and after.
    Poll,
    /// Evidence on the pest.
    Evidence,
    /// Tables to look things up.
    Tables,
    /// One summer, moving.
    Animation,
}

impl Product {
    /// All, in the order in which they are made.
    pub const ALL: [Product; 8] = [
        Product::HelpDesk,
        Product::Handout,
        Product::Slides,
        Product::Class,
        Product::Poll,
        Product::Evidence,
        Product::Tables,
        Product::Animation,
    ];

    /// The name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Product::HelpDesk => "help-desk",
            Product::Handout => "handout",
            Product::Slides => "slides",
            Product::Class => "class",
            Product::Poll => "poll",
            Product::Evidence => "evidence",
            Product::Tables => "tables",
            Product::Animation => "animation",
        }
    }

    /// The product of a name.
    ///
    /// # Errors
    /// A sentence with the nearest name.
    pub fn named(name: &str) -> Result<Product, String> {
        let all = Product::ALL.map(Product::name);
        Product::ALL
            .into_iter()
            .find(|p| p.name() == name)
            .ok_or_else(|| unknown("unknown.product", "--product", name, &all))
    }
}

/// A sentence for a name that is not known, with the nearest one that is.
pub fn unknown(key: &str, option: &str, name: &str, all: &[&str]) -> String {
    let closest = all
        .iter()
        .max_by(|a, b| strsim::jaro_winkler(a, name).total_cmp(&strsim::jaro_winkler(b, name)))
        .copied()
        .unwrap_or_default();
    let asked = crate::units::shortened(name);
    let all = format!("\"{}\"", all.join("\", \""));
    say!(key, option, asked, closest, all)
}

/// What the user asks for.
#[derive(Clone, Debug, Default)]
pub struct Request {
    /// Products; empty for all.
    pub products: Vec<Product>,
    /// Code of the language.
    pub language: String,
    /// Date to print, as typed.
    pub date: String,
    /// Author to print, as typed.
    pub author: String,
    /// Reviewer to print, as typed.
    pub reviewed_by: String,
    /// Plan that the pages are about.
    pub plan: Option<String>,
    /// Counts of a poll, CSV.
    pub poll: Option<String>,
}

/// What the caller knows and the results do not.
#[derive(Clone, Copy, Debug)]
pub struct Made<'a> {
    /// Version of the program.
    pub version: &'a str,
}

/// What was made.
#[derive(Clone, Debug, Default)]
pub struct Built {
    /// Files with their names inside the report's folder, in a fixed order.
    pub files: Vec<(String, Vec<u8>)>,
    /// Products that were made, with their files.
    pub made: Vec<(Product, Vec<String>)>,
    /// Products that were not, and why.
    pub missing: Vec<(Product, String)>,
    /// Doubts about the results.
    pub doubts: Vec<String>,
}

type Files = Vec<(String, Vec<u8>)>;

/// A user's text without control characters, which no page may hold.
pub fn clean(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

/// Makes the products.
///
/// # Errors
/// A sentence for an unknown language or plan, or for faulty counts of a poll.
pub fn build(results: &Results, request: &Request, made: &Made) -> Result<Built, String> {
    let s = Strings::of(&request.language).ok_or_else(|| unknown_language(&request.language))?;
    let s = match results.yard.as_ref().map(|y| y.scenario.pest.guild) {
        Some(Guild::Visitor) => s.about("people"),
        Some(Guild::Piercer | Guild::EggLayer) => s.about("fruit"),
        Some(Guild::Chewer) | None => s,
    };
    let story = results
        .yard
        .as_ref()
        .map(|yard| Story::new(&s, results, yard, request.plan.as_deref()))
        .transpose()?;
    let mut built = Built {
        doubts: results.doubts.clone(),
        ..Built::default()
    };
    let wanted = |p: Product| request.products.is_empty() || request.products.contains(&p);
    for product in Product::ALL.into_iter().filter(|p| wanted(*p)) {
        match one(product, &s, story.as_ref(), results, request, made)? {
            Ok(files) => {
                let names = files.iter().map(|(name, _)| name.clone()).collect();
                built.made.push((product, names));
                built.files.extend(files);
            }
            Err(why) => built.missing.push((product, why)),
        }
    }
    if let Some(story) = &story {
        let page = index::page_of(story, request, made, &built);
        built
            .files
            .insert(0, ("index.html".into(), page.into_bytes()));
    }
    built.files.push(manifest(&built, results, made).file());
    Ok(built)
}

/// A sentence for a language that is not known.
pub fn unknown_language(code: &str) -> String {
    let codes: Vec<&str> = LANGUAGES.iter().map(|(code, _)| *code).collect();
    let name = crate::units::shortened(code);
    say!("unknown.language", name, all = codes.join(", "))
}

/// One product: its files, or why it cannot be made.
fn one(
    product: Product,
    s: &Strings,
    story: Option<&Story>,
    results: &Results,
    request: &Request,
    made: &Made,
) -> Result<Result<Files, String>, String> {
    let no_yard = || say!("product.no-yard");
    Ok(match (product, story) {
        (Product::Poll, _) => Ok(poll::files(s, request, story)?),
        (Product::Tables, _) => Ok(tables::files(s, request)),
        (Product::Evidence, _) => {
            let pest = story.map(|t| t.yard.scenario.pest.id.as_str());
            let pest = pest.or(results.season.as_ref().map(|s| s.pest.id.as_str()));
            match pest {
                Some(pest) => Ok(evidence::files(s, request, pest, story)),
                None => Err(no_yard()),
            }
        }
        (_, None) => Err(no_yard()),
        (Product::HelpDesk, Some(story)) => match invented(story) {
            Some(key) => Err(say!(key)),
            None => Ok(help_desk::files(story)),
        },
        (Product::Handout, Some(story)) => Ok(handout::files(story, request, made)),
        (Product::Slides, Some(story)) => Ok(slides::files(story, made)),
        (Product::Class, Some(story)) => class::files(story, request, made),
        (Product::Animation, Some(story)) => summer::files(story, request, made),
    })
}

/// Why no reply may rest on the plan of a story: numbers of its pest or lure that nobody has measured.
fn invented(story: &Story) -> Option<&'static str> {
    let scenario = &story.yard.scenario;
    let own = |id: &str| id == "custom";
    let mut traps = story.planned().into_iter().flat_map(|p| &p.traps);
    if own(&scenario.pest.id) {
        Some("product.own-pest")
    } else if traps.any(|t| own(&scenario.lures[t.lure].id)) {
        Some("product.own-lure")
    } else {
        None
    }
}

#[derive(Serialize)]
struct NotMade<'a> {
    product: &'static str,
    why: &'a str,
}

fn manifest(built: &Built, results: &Results, made: &Made) -> Manifest {
    let facts = Facts {
        version: made.version.into(),
        ..Facts::default()
    };
    let not_made = built.missing.iter().map(|(p, why)| NotMade {
        product: p.name(),
        why,
    });
    let mut all = Manifest::new(&facts, None, &built.files)
        .with("found", &results.found)
        .with("not_made", not_made.collect::<Vec<_>>());
    all.repeat = None;
    all
}
