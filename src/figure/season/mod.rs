//! Pictures of a season: degree-days with events, the flight with catches, the calendar, the wind rose.

mod calendar;
mod curve;
mod flight;
mod rose;
mod time;

pub use rose::wind_rose;

use crate::figure::Figure;
use crate::season::finding::Finding;

/// All pictures of a season, in a fixed order; those without data are left out.
pub fn of_season(season: &Finding) -> Vec<Figure> {
    let mut figures = vec![curve::degree_days(season)];
    figures.extend(flight::flight(season));
    figures.extend(calendar::bars(season));
    let rose = season.wind_rose.as_ref().filter(|rose| rose.valid > 0);
    figures.extend(rose.map(wind_rose));
    figures
}

/// "codling moth, 2014".
fn subject(season: &Finding) -> String {
    let year = season.parts.outlook.start.year();
    format!("{}, {year}", season.pest.name)
}
