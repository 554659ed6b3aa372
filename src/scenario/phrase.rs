//! What people say of a yard, read word by word: "8 roses along the north fence", "30 ft from the roses, to the south".
//!
//! A phrase is cut into [`Item`]s with the words of the catalogue's table, the longest match first, and these into what
//! is meant and where it stands. A word that is not known is a fault; none is passed over.

use super::error::told;
use super::wind::SIDES;
use crate::catalogue::words::{self, Kind};
use crate::say::say;
use crate::units::{Dimension, METRES_PER_FOOT, read_quantity, shortened};

/// One side of a yard or of a thing, or the way to a corner: x to the east and y to the north, each -1, 0 or 1.
pub(super) type Way = [i8; 2];

/// Something in the yard that a phrase points to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Named {
    pub(super) kind: Kind,
    pub(super) id: &'static str,
    /// As it was said.
    pub(super) said: String,
}

/// Where something stands.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Spot {
    /// So many meters from a side; a step from it where that is not said.
    Side(Way, Option<f64>),
    /// In a corner, or so many meters from it.
    Corner(Way, Option<f64>),
    /// So many meters along both ways from a corner.
    FromCorner(Way, [f64; 2]),
    /// In the middle of the yard.
    Middle,
    /// So many meters from a thing, on a side of it.
    Off(Named, Option<f64>, Option<Way>),
    /// Among the plants of a thing.
    Among(Named),
    /// Halfway between two things.
    Between(Named, Named),
}

/// A phrase as read.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Phrase {
    /// What it is about, where it names something of its own.
    pub(super) what: Option<Named>,
    pub(super) count: Option<u32>,
    /// Sides of a bed or of a building, meters.
    pub(super) size_m: Option<[f64; 2]>,
    pub(super) row: bool,
    pub(super) rows: Option<u32>,
    /// Length of a row, or of nothing else.
    pub(super) length_m: Option<f64>,
    /// The kind of trap that hangs.
    pub(super) trap: Option<&'static str>,
    pub(super) apart_m: Option<f64>,
    pub(super) spots: Vec<Spot>,
    /// Nothing is meant: "no trap".
    pub(super) none: bool,
    /// Lengths that were read as feet for want of a unit.
    pub(super) bare: Vec<String>,
}

#[derive(Clone, Debug, PartialEq)]
enum Item {
    Number(f64),
    /// Meters, and meters in its unit.
    Length(f64, f64),
    Size([f64; 2]),
    Side(Way),
    Thing(Named),
    Trap(&'static str),
    Place(&'static str),
    Break,
}

/// Most words that a name has.
const LONGEST_NAME: usize = 4;

/// The way to a side of the compass; `None` for a sixteenth of a turn.
pub(super) fn way(side: &str) -> Option<Way> {
    let has = |part: &str| i8::from(side.split('-').any(|word| word == part));
    let at = SIDES.iter().position(|known| *known == side)?;
    (at % 2 == 0).then(|| [has("east") - has("west"), has("north") - has("south")])
}

/// The side that a text names.
pub(super) fn side(text: &str) -> Option<&'static str> {
    let compass = || super::wind::compass(text).map(|i| SIDES[usize::from(i)]);
    words::find(Kind::Side, text).or_else(compass)
}

/// Two lengths: "60 by 40 ft".
pub(super) fn size(text: &str, bare: &mut Vec<String>) -> Result<[f64; 2], String> {
    let phrase = read(text, &[])?;
    bare.extend(phrase.bare);
    phrase
        .size_m
        .ok_or_else(|| say!("fault.phrase.size", text = shortened(text)))
}

/// Reads a phrase. What it is about is the first name of one of these kinds; other names are what it points to.
pub(super) fn read(text: &str, about: &[Kind]) -> Result<Phrase, String> {
    let mut phrase = Phrase::default();
    let items = items(text, about, &mut phrase.bare)?;
    let mut reader = Reader {
        text,
        items: &items,
        at: 0,
        phrase,
        across: None,
    };
    while let Some(item) = reader.next() {
        reader.take(item, about)?;
    }
    if reader.across.is_some() {
        return Err(reader.fault("fault.phrase.where"));
    }
    Ok(reader.phrase)
}

struct Reader<'a> {
    text: &'a str,
    items: &'a [Item],
    at: usize,
    phrase: Phrase,
    /// A length to a side that still waits for its other half and its corner.
    across: Option<(Way, f64)>,
}

impl Reader<'_> {
    fn next(&mut self) -> Option<Item> {
        let item = self.items.get(self.at).cloned();
        self.at += usize::from(item.is_some());
        item
    }

    fn ahead(&self) -> Option<&Item> {
        self.items.get(self.at)
    }

    /// The item before the one that was just taken.
    fn before(&self) -> Option<&Item> {
        self.items.get(self.at.checked_sub(2)?)
    }

    fn fault(&self, key: &str) -> String {
        say!(key, text = shortened(self.text))
    }

    fn take(&mut self, item: Item, about: &[Kind]) -> Result<(), String> {
        match item {
            Item::Number(n) => self.number(n)?,
            Item::Size(size) if self.phrase.size_m.is_none() => self.phrase.size_m = Some(size),
            Item::Size(_) => return Err(self.fault("fault.phrase.number")),
            Item::Thing(named) if self.phrase.what.is_none() && about.contains(&named.kind) => {
                self.phrase.what = Some(named);
            }
            // "roses and grapes" are two plantings.
            Item::Thing(named) if about.contains(&named.kind) => {
                return Err(say!("fault.phrase.two", name = named.said));
            }
            Item::Trap(kind) => self.phrase.trap = Some(kind),
            Item::Length(length, _) => self.length(length, about)?,
            // "3 rows of 8".
            Item::Place("row") => {
                self.phrase.row = true;
                if matches!(self.before(), Some(Item::Number(_))) && self.phrase.rows.is_none() {
                    self.phrase.rows = self.phrase.count.take();
                }
            }
            Item::Place("none") => self.phrase.none = true,
            Item::Place("apart" | "bed" | "and" | "from" | "of" | "long") | Item::Break => {}
            // "in a bed", "in rows", "in 4 rows", "in a bucket trap".
            Item::Place("at" | "by" | "in")
                if matches!(
                    self.ahead(),
                    Some(
                        Item::Place("bed" | "row")
                            | Item::Number(_)
                            | Item::Size(_)
                            | Item::Trap(_)
                    )
                ) => {}
            Item::Place(_) | Item::Side(_) | Item::Thing(_) => {
                self.at -= 1;
                self.spot(None)?;
            }
        }
        Ok(())
    }

    /// A number counts plants, rows, or beds, of which a phrase has one.
    fn number(&mut self, n: f64) -> Result<(), String> {
        let fault = || Err(self.fault("fault.phrase.number"));
        if !(0.0..=1e6).contains(&n) || n.fract() != 0.0 {
            return fault();
        }
        match self.ahead() {
            Some(Item::Size(_) | Item::Place("bed")) if n > 1.0 => {
                return Err(self.fault("fault.phrase.beds"));
            }
            Some(Item::Size(_) | Item::Place("bed")) => {}
            // "24 roses in 4 rows".
            Some(Item::Place("row")) if self.phrase.count.is_some() && n > 0.0 => {
                self.phrase.rows = Some(n as u32);
                self.phrase.count = self.phrase.count.map(|all| all / n as u32);
            }
            _ if self.phrase.count.is_none() => self.phrase.count = Some(n as u32),
            _ => return fault(),
        }
        Ok(())
    }

    /// A length is that of a row, the distance between plants, or how far something is from something.
    fn length(&mut self, length: f64, about: &[Kind]) -> Result<(), String> {
        // "a row of 20 ft"
        let of_row = self.phrase.row && matches!(self.before(), Some(Item::Place("from" | "of")));
        let own = match (self.ahead(), self.items.get(self.at + 1)) {
            (Some(Item::Place("apart")), _) => {
                self.phrase.apart_m = Some(length);
                return Ok(());
            }
            (Some(Item::Place("row" | "long" | "along")), _) => true,
            // "30 ft of grapes"
            (Some(Item::Place("of")), Some(Item::Thing(named))) => {
                self.phrase.what.is_none() && about.contains(&named.kind)
            }
            (Some(Item::Place(_) | Item::Side(_) | Item::Thing(_)), _) => of_row,
            _ => true,
        };
        if !own {
            return self.spot(Some(length));
        }
        match (self.phrase.length_m, self.phrase.size_m) {
            (None, _) => self.phrase.length_m = Some(length),
            // "60 ft wide and 40 ft deep"
            (Some(first), None) if self.ahead() == Some(&Item::Place("long")) => {
                self.phrase.size_m = Some([first, length]);
                self.phrase.length_m = None;
            }
            _ => return Err(self.fault("fault.phrase.number")),
        }
        Ok(())
    }

    /// Reads on to the end of what says where, and adds the spot.
    fn spot(&mut self, length: Option<f64>) -> Result<(), String> {
        let (mut sides, mut things) = (Vec::new(), Vec::new());
        let [mut fence, mut corner, mut middle, mut inside, mut between] = [false; 5];
        loop {
            match self.ahead() {
                Some(Item::Side(way)) => sides.push(*way),
                Some(Item::Thing(named)) => things.push(named.clone()),
                Some(Item::Place("fence")) => fence = true,
                Some(Item::Place("corner")) => corner = true,
                Some(Item::Place("middle")) => middle = true,
                Some(Item::Place("in")) => inside = true,
                Some(Item::Place("between")) => between = true,
                Some(Item::Place("from" | "of" | "at" | "along" | "by")) => {}
                Some(Item::Place("and")) if between => {}
                // "in the north and west corner"
                Some(Item::Place("and"))
                    if matches!(self.items.get(self.at + 1), Some(Item::Side(_)))
                        && length.is_none() => {}
                // After a comma a side or a thing may still belong to it: "30 ft from the roses, to the south".
                Some(Item::Break) if self.goes_on(&sides, &things) => {}
                _ => break,
            }
            self.at += 1;
        }
        let both = sum(&sides);
        let slanted = both[0] != 0 && both[1] != 0;
        let straight = (both[0] == 0) != (both[1] == 0);
        let waits = matches!(self.ahead(), Some(Item::Place("and") | Item::Break))
            && matches!(self.items.get(self.at + 1), Some(Item::Length(..)));
        let spot = if let (Some((first, one_m)), Some(two_m)) = (self.across.take(), length) {
            // "59 ft east and 1 ft north of the south-west corner".
            let Some((second, of)) = sides.split_first().filter(|_| corner) else {
                return Err(self.fault("fault.phrase.where"));
            };
            let (of, inward) = (sum(of), sum(&[first, *second]));
            if inward[0] == 0 || inward[1] == 0 || of != inward.map(|w| -w) {
                return Err(self.fault("fault.phrase.where"));
            }
            let east_first = first[0] != 0;
            Spot::FromCorner(
                of,
                if east_first {
                    [one_m, two_m]
                } else {
                    [two_m, one_m]
                },
            )
        } else if let Some(length) = length
            && things.is_empty()
            && straight
            && !(fence || corner)
            && waits
        {
            self.across = Some((both, length));
            return Ok(());
        } else if corner
            && let (Some(length), [way, of @ ..]) = (length, &sides[..])
            && sum(&[*way])[0] * sum(&[*way])[1] == 0
            && sum(of)[0] * sum(of)[1] != 0
        {
            // "10 ft west of the north-east corner".
            let of = sum(of);
            let axis = usize::from(way[0] == 0);
            if way[axis] != -of[axis] {
                return Err(self.fault("fault.phrase.where"));
            }
            let mut lengths = [0.0; 2];
            lengths[axis] = length;
            Spot::FromCorner(of, lengths)
        } else if corner {
            if middle || !things.is_empty() {
                return Err(self.fault("fault.phrase.where"));
            }
            if !slanted {
                return Err(self.fault("fault.phrase.corner"));
            }
            Spot::Corner(both, length)
        } else if between {
            let [one, two] =
                <[Named; 2]>::try_from(things).map_err(|_| self.fault("fault.phrase.between"))?;
            Spot::Between(one, two)
        } else if let Some(thing) = things.pop() {
            if !things.is_empty() || sides.len() > 1 {
                return Err(self.fault("fault.phrase.where"));
            }
            if inside && length.is_none() {
                Spot::Among(thing)
            } else {
                Spot::Off(thing, length, sides.first().copied())
            }
        } else if middle && !fence {
            Spot::Middle
        } else if slanted && !fence && length.is_none() {
            // "in the north-east".
            Spot::Corner(both, None)
        } else if fence
            && length.is_some()
            && let [way, of] = sides[..]
            && way == of.map(|w| -w)
        {
            // "2 ft south of the north fence".
            Spot::Side(of, length)
        } else if straight {
            Spot::Side(both, length)
        } else {
            return Err(self.fault("fault.phrase.side"));
        };
        self.phrase.spots.push(spot);
        Ok(())
    }

    /// Whether what follows a comma is a side of the thing before it.
    fn goes_on(&self, sides: &[Way], things: &[Named]) -> bool {
        let mut rest = self.items[self.at + 1..].iter();
        let next = rest.by_ref().find(|item| {
            !matches!(
                item,
                Item::Place("at" | "along" | "by" | "in" | "from" | "of")
            )
        });
        let alone = !matches!(rest.next(), Some(Item::Place("corner")));
        sides.is_empty() && things.len() == 1 && matches!(next, Some(Item::Side(_))) && alone
    }
}

/// "north" and "west" together are "north-west".
fn sum(sides: &[Way]) -> Way {
    let add = |[x, y]: Way, way: &Way| [(x + way[0]).clamp(-1, 1), (y + way[1]).clamp(-1, 1)];
    sides.iter().fold([0, 0], add)
}

/// Words, numbers and signs of a text, in order.
fn cut(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut last = ' ';
    let all: Vec<char> = text.chars().collect();
    let digit = |i: usize| all.get(i).is_some_and(char::is_ascii_digit);
    for (i, c) in all.iter().copied().enumerate() {
        let sort = |c: char| match c {
            c if c.is_ascii_digit() || matches!(c, '.' | '½' | '¼' | '¾') => 'n',
            c if c.is_alphabetic() || c == '-' || c == '’' => 'a',
            '\'' | '"' | '×' | '*' => 'u',
            ',' | ';' | ':' | '(' | ')' => ',',
            _ => ' ',
        };
        let mut now = sort(c);
        // A comma between figures parts thousands before three of them, and decimals before others.
        if c == ',' && last == 'n' && digit(i + 1) {
            let thousands = digit(i + 2) && digit(i + 3) && !digit(i + 4);
            if let Some(number) = out.last_mut().filter(|_| !thousands) {
                number.push('.');
            }
            continue;
        }
        match now {
            ' ' => {}
            // A hyphen and an apostrophe belong to a word, "x" between numbers stands alone; "10-15" is no number.
            'n' | 'a' if now == last => {
                if let Some(word) = out.last_mut() {
                    word.push(c);
                }
            }
            'a' if c == '-' && last == 'n' && digit(i + 1) => {
                out.push("to".into());
                now = ' ';
            }
            _ => out.push(if c == '*' { "×".into() } else { c.to_string() }),
        }
        last = now;
    }
    out
}

/// A number in figures.
fn figures(word: &str) -> Option<f64> {
    let (head, part) = match word.chars().last()? {
        '½' => (word.trim_end_matches('½'), 0.5),
        '¼' => (word.trim_end_matches('¼'), 0.25),
        '¾' => (word.trim_end_matches('¾'), 0.75),
        _ => (word, 0.0),
    };
    if head.is_empty() {
        return Some(part);
    }
    let number: f64 = head.trim_end_matches('.').parse().ok()?;
    (number.is_finite() && head.starts_with(|c: char| c.is_ascii_digit() || c == '.'))
        .then_some(number + part)
}

fn items(text: &str, about: &[Kind], bare: &mut Vec<String>) -> Result<Vec<Item>, String> {
    let words: Vec<String> = cut(text);
    let (mut out, mut i) = (Vec::new(), 0);
    while i < words.len() {
        if words[i] == ","
            || figures(&words[i]).is_none() && matches!(words[i].as_str(), "." | "-" | "'" | "\"")
        {
            if out.last() != Some(&Item::Break) && words[i] == "," {
                out.push(Item::Break);
            }
            i += 1;
        } else if let Some(n) = figures(&words[i]) {
            let unit = unit_at(&words, i + 1);
            out.push(unit.map_or(Item::Number(n), |unit| Item::Length(n * unit, unit)));
            i += 1 + usize::from(unit.is_some());
        } else {
            let (item, used) = named(&words[i..], about, text)?;
            // A number in words may have a unit as well.
            let unit = unit_at(&words, i + used);
            match (item, unit) {
                (Some(Item::Number(n)), Some(unit)) => {
                    out.push(Item::Length(n * unit, unit));
                    i += 1;
                }
                (item, _) => out.extend(item),
            }
            i += used;
        }
    }
    Ok(joined(out, bare))
}

/// Meters in the unit of length that stands there. "In" before another word is none: "8 by 10 in the corner".
fn unit_at(words: &[String], i: usize) -> Option<f64> {
    let word = words.get(i)?;
    let unit = words::find(Kind::Unit, word)?;
    let next = words.get(i + 1).map(String::as_str);
    let goes_on = |next: &str| {
        let place = words::find(Kind::Place, next);
        next == ","
            || figures(next).is_some()
            || matches!(
                place,
                Some("by" | "from" | "of" | "apart" | "long" | "bed" | "row")
            )
    };
    if words::plain(word) == "in" && !next.is_none_or(goes_on) {
        return None;
    }
    read_quantity(&format!("1 {unit}"), Dimension::Length).ok()
}

/// The longest name at the start of the words, and how many of them it takes; no item for a word that says nothing.
fn named(words: &[String], about: &[Kind], text: &str) -> Result<(Option<Item>, usize), String> {
    for used in (1..=LONGEST_NAME.min(words.len())).rev() {
        let said = words[..used].join(" ");
        if words[..used].iter().any(|word| word == ",") {
            continue;
        }
        // A house is asked for where things of the yard are told; else "patio" may be the table on it.
        let kinds = if about.contains(&Kind::Structure) {
            [Kind::Structure, Kind::Crop]
        } else {
            [Kind::Crop, Kind::Structure]
        };
        for kind in kinds {
            // "10 plants" are no kind of plant.
            if let Some(id) = words::find(kind, &said).filter(|id| *id != "other") {
                return Ok((Some(Item::Thing(Named { kind, id, said })), used));
            }
        }
        // "Beer trap": where a trap is told, its kind may be told as well.
        if about.is_empty()
            && let Some(kind) = words::find(Kind::Trap, &said)
        {
            return Ok((Some(Item::Trap(kind)), used));
        }
        if let Some(place) = words::find(Kind::Place, &said) {
            return Ok((Some(Item::Place(place)), used));
        }
        if let Some(way) = side(&said).and_then(way) {
            return Ok((Some(Item::Side(way)), used));
        }
        let number = words::find(Kind::Number, &said).and_then(|n| n.parse().ok());
        if let Some(n) = number {
            return Ok((Some(Item::Number(n)), used));
        }
        if words::find(Kind::Fill, &said).is_some() {
            return Ok((None, used));
        }
    }
    let word = &words[0];
    let near = [
        Kind::Crop,
        Kind::Structure,
        Kind::Place,
        Kind::Side,
        Kind::Unit,
    ];
    // The nearest of several words counts, and of one word.
    let two = words[..2.min(words.len())].join(" ");
    let near = near
        .iter()
        .find_map(|kind| words::near(*kind, word).or_else(|| words::near(*kind, &two)));
    let what = say!(
        "fault.phrase.word",
        word = shortened(word),
        text = shortened(text)
    );
    Err(told(&what, near.as_deref(), &say!("fault.phrase.word.fix")))
}

/// Puts together "6 ft 6 in", "10 by 4 ft" and "two dozen"; a number where only a length makes sense is one of feet.
fn joined(items: Vec<Item>, bare: &mut Vec<String>) -> Vec<Item> {
    let mut out: Vec<Item> = Vec::new();
    let mut rest = items.into_iter().peekable();
    while let Some(item) = rest.next() {
        match (item, rest.peek()) {
            (Item::Length(a, unit), Some(Item::Length(b, smaller))) if *smaller < unit => {
                out.push(Item::Length(a + b, unit));
                rest.next();
            }
            (Item::Number(n), Some(Item::Place("dozen"))) => {
                out.push(Item::Number(12.0 * n));
                rest.next();
            }
            (Item::Place("dozen"), _) => out.push(Item::Number(12.0)),
            (Item::Number(n), Some(Item::Place("from" | "apart"))) => {
                bare.push(n.to_string());
                out.push(Item::Length(n * METRES_PER_FOOT, METRES_PER_FOOT));
            }
            (item, _) => out.push(item),
        }
    }
    let mut i = 0;
    while i + 2 < out.len() {
        if out[i + 1] != Item::Place("by") {
            i += 1;
            continue;
        }
        let size = match (&out[i], &out[i + 2]) {
            (Item::Length(a, _), Item::Length(b, _)) => [*a, *b],
            (Item::Number(a), Item::Number(b)) => {
                bare.extend([a.to_string(), b.to_string()]);
                [a * METRES_PER_FOOT, b * METRES_PER_FOOT]
            }
            // "10 by 4 ft": the unit of the second holds for both.
            (Item::Number(a), Item::Length(b, unit)) => [a * unit, *b],
            _ => {
                i += 1;
                continue;
            }
        };
        out.splice(i..=i + 2, [Item::Size(size)]);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOOT: f64 = METRES_PER_FOOT;

    fn plants(text: &str) -> Phrase {
        read(text, &[Kind::Crop]).unwrap_or_else(|why| panic!("{text}: {why}"))
    }

    fn spots(text: &str) -> Vec<Spot> {
        let phrase = read(text, &[]).unwrap_or_else(|why| panic!("{text}: {why}"));
        phrase.spots
    }

    fn close(a: Option<f64>, ft: f64) -> bool {
        a.is_some_and(|a| (a - ft * FOOT).abs() < 1e-9)
    }

    #[test]
    fn plants_are_counted_measured_and_placed() {
        let roses = plants("8 roses along the north fence");
        assert_eq!(roses.count, Some(8));
        assert_eq!(roses.what.map(|w| w.id), Some("rose"));
        assert_eq!(roses.spots, [Spot::Side([0, 1], None)]);
        let beans = plants("green beans, bed 10 by 4 ft, 10 ft from the south fence");
        assert_eq!(beans.size_m, Some([10.0 * FOOT, 4.0 * FOOT]));
        assert!(matches!(beans.spots[..], [Spot::Side([0, -1], m)] if close(m, 10.0)));
        let trees = plants("three old apple trees 15 ft apart along the east side");
        assert_eq!(trees.count, Some(3));
        assert!(close(trees.apart_m, 15.0));
        assert_eq!(trees.spots, [Spot::Side([1, 0], None)]);
        let row = plants("a 20 ft row of tomatoes 5 paces from the west fence");
        assert!(close(row.length_m, 20.0) && row.row);
        assert!(matches!(row.spots[..], [Spot::Side([-1, 0], m)] if close(m, 12.5)));
        let rows = plants("2 rows of 6 raspberries in the middle");
        assert_eq!((rows.rows, rows.count), (Some(2), Some(6)));
        assert_eq!(rows.spots, [Spot::Middle]);
        assert_eq!(plants("two dozen lettuces").count, Some(24));
        assert!(close(plants("row of 20 ft of peas").length_m, 20.0));
    }

    #[test]
    fn traps_are_placed_from_things_sides_and_corners() {
        let off = spots("30 ft from the roses, to the south");
        assert!(
            matches!(&off[..], [Spot::Off(rose, m, Some([0, -1]))] if rose.id == "rose" && close(*m, 30.0))
        );
        assert_eq!(off, spots("30 ft south of the roses"));
        assert_eq!(off, spots("30 feet away from the roses to the south"));
        assert!(
            matches!(spots("6 ft 6 in from the roses")[..], [Spot::Off(_, m, None)] if close(m, 6.5))
        );
        assert_eq!(
            spots("in the north-east corner"),
            [Spot::Corner([1, 1], None)]
        );
        assert_eq!(spots("in the NE corner"), spots("northeast corner"));
        let from = spots("59 ft east and 1 ft north of the south-west corner");
        assert!(
            matches!(from[..], [Spot::FromCorner([-1, -1], [x, y])] if close(Some(x), 59.0) && close(Some(y), 1.0))
        );
        assert_eq!(
            from,
            spots("1 ft north and 59 ft east of the south-west corner")
        );
        assert!(
            matches!(&spots("between the roses and the shed")[..], [Spot::Between(a, b)] if a.id == "rose" && b.id == "shed")
        );
        assert!(matches!(&spots("among the roses")[..], [Spot::Among(rose)] if rose.id == "rose"));
        assert_eq!(
            spots("10 ft from the north fence and 20 ft from the east fence").len(),
            2
        );
        assert!(read("no trap", &[]).is_ok_and(|phrase| phrase.none));
    }

    #[test]
    fn spanish_says_the_same() {
        let roses = plants("8 rosas junto a la cerca norte");
        assert_eq!(roses.spots, [Spot::Side([0, 1], None)]);
        assert_eq!(roses.what.map(|w| w.id), Some("rose"));
        assert!(
            matches!(spots("a 10 pies de las rosas")[..], [Spot::Off(_, m, None)] if close(m, 10.0))
        );
        assert_eq!(
            spots("en la esquina noreste"),
            spots("in the north-east corner")
        );
    }

    #[test]
    fn numbers_without_a_unit_are_feet_and_said_so() {
        let mut bare = Vec::new();
        assert_eq!(size("60 by 40", &mut bare), Ok([60.0 * FOOT, 40.0 * FOOT]));
        assert_eq!(bare, ["60", "40"]);
        bare.clear();
        assert_eq!(
            size("60 by 40 ft", &mut bare),
            Ok([60.0 * FOOT, 40.0 * FOOT])
        );
        assert_eq!(size("20 x 10 m", &mut bare), Ok([20.0, 10.0]));
        assert!(bare.is_empty());
        let phrase = plants("8 roses 10 from the north fence");
        assert_eq!(phrase.bare, ["10"]);
    }

    #[test]
    fn what_is_not_understood_is_a_fault_and_never_passed_over() {
        for text in [
            "8 roses along the north and south fence",
            "8 roses near the thing",
            "8 roses 10 ft from the fence",
            "8 9 roses",
            "in the corner",
            "between the roses",
            "59 ft east and 1 ft north of the north-east corner",
            "59 ft east and 1 ft",
            "10 by 4 by 3 ft bed of roses",
            "roses and grapes",
            "two 4x8 ft beds of beans",
            "roses from the north-west corner to the middle",
            "roses 10-15 ft from the north fence",
        ] {
            assert!(read(text, &[Kind::Crop]).is_err(), "{text}");
        }
        let why = read("8 rozes", &[Kind::Crop]).unwrap_err();
        assert!(
            why.contains("\"rozes\"") && why.contains("\"roses\""),
            "{why}"
        );
    }

    #[test]
    fn what_people_say_is_read_as_they_mean_it() {
        for text in [
            "beans 8x10 in the NE corner",
            "beans 8 by 10 in the NE corner",
            "beans 8*10 in the NE corner",
        ] {
            assert_eq!(
                plants(text).size_m,
                Some([8.0 * FOOT, 10.0 * FOOT]),
                "{text}"
            );
        }
        assert!(close(spots_of("beans 6 in from the north fence"), 0.5));
        for text in [
            "row of roses 20 ft long along the east fence",
            "roses 20 ft along the east fence",
            "20 feet of roses along the east fence",
        ] {
            let read = plants(text);
            assert!(close(read.length_m, 20.0), "{text}");
            assert_eq!(read.spots, [Spot::Side([1, 0], None)], "{text}");
        }
        assert_eq!(
            size("60 ft wide and 40 ft deep", &mut Vec::new()),
            Ok([60.0 * FOOT, 40.0 * FOOT])
        );
        assert_eq!(
            size("1,000 by 500 ft", &mut Vec::new()),
            Ok([1000.0 * FOOT, 500.0 * FOOT])
        );
        assert_eq!(size("20,5 x 10 m", &mut Vec::new()), Ok([20.5, 10.0]));
        assert_eq!(plants("blueberries, 10 plants").count, Some(10));
        assert_eq!(plants("a couple of roses").count, Some(2));
        let rows = plants("24 roses in 4 rows");
        assert_eq!((rows.rows, rows.count), (Some(4), Some(6)));
        let beer = read("beer trap 3 ft from the lettuce", &[]).unwrap();
        assert_eq!(beer.trap, Some("cup"));
        assert!(
            matches!(spots("10 ft west of the NE corner")[..], [Spot::FromCorner([1, 1], [x, y])] if close(Some(x), 10.0) && y == 0.0)
        );
        assert!(
            matches!(spots("2 ft south of the north fence")[..], [Spot::Side([0, 1], m)] if close(m, 2.0))
        );
        assert_eq!(
            plants("12' x 3' bed of beans along the east fence").spots,
            [Spot::Side([1, 0], None)]
        );
    }

    fn spots_of(text: &str) -> Option<f64> {
        match plants(text).spots[..] {
            [Spot::Side(_, m)] => m,
            _ => None,
        }
    }

    #[test]
    fn words_in_any_order_never_panic() {
        use proptest::prelude::*;
        let word = proptest::sample::select(vec![
            "8",
            "roses",
            "10 ft",
            "from",
            "north",
            "south-east",
            "fence",
            "corner",
            "and",
            ",",
            "by",
            "x",
            "in",
            "the",
            "bed",
            "row",
            "rows",
            "of",
            "between",
            "shed",
            "middle",
            "apart",
            "dozen",
            "two",
            "½",
            "6'",
            "no",
            "ft",
            ".",
            "-",
            "½ ft",
            "ñ",
            "1e9",
        ]);
        let texts = proptest::collection::vec(word, 0..12);
        let mut runner = proptest::test_runner::TestRunner::deterministic();
        runner
            .run(&texts, |words| {
                let text = words.join(" ");
                if let Ok(phrase) = read(&text, &[Kind::Crop]) {
                    prop_assert!(phrase.spots.len() <= words.len());
                }
                Ok(())
            })
            .expect("no phrase panics");
    }
}
