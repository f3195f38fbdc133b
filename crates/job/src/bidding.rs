//! The bid schedule as it leaves: on paper and as a table.

use exchange::{Csv, csv_text};
use sheets::PdfError;

use crate::Worked;
use crate::handing::{Handed, PaperWish, work};

/// The schedule as PDF.
pub fn pdf(derived: &Worked, wish: &PaperWish) -> Result<Vec<u8>, PdfError> {
    let reference = exchange::reference(&derived.plan);
    sheets::pdf(&sheets::bid_book(&work(derived, wish, &reference)), &|_| true)
}

/// The schedule as a table: prices and amounts are left empty.
pub fn csv(derived: &Worked) -> String {
    let (plan, estimate) = (&derived.plan, derived.estimate());
    let (bid, units) = (takeoff::bid(plan, estimate), plan.title.units);
    let head =
        format!("{}: bid schedule. {}", plan.title.name, sheets::edition_without_rods(plan, derived.told()).title);
    let mut csv = Csv::with_remarks([&head, sheets::BID_TERMS, plan::CAUTION]);
    csv.head("number,item,quantity,unit,unit_price,amount,currency");
    let row = |number: String, item: &str, quantity: String, unit: &str| {
        let currency = if unit.is_empty() { String::new() } else { csv_text(&estimate.currency) };
        [number, csv_text(item), quantity, unit.replace('³', "3"), String::new(), String::new(), currency]
    };
    for (i, item) in bid.rows.iter().enumerate() {
        csv.row(&row((i + 1).to_string(), &item.what, item.figure(units), item.unit(units)));
    }
    let asked = std::iter::once("total").chain(sheets::BIDDER);
    asked.for_each(|asked| csv.row(&row(String::new(), asked, String::new(), "")));
    csv.finish()
}

/// The schedule in the folder that is handed over.
pub(crate) fn files(derived: &Worked, wish: &PaperWish) -> Result<Vec<Handed>, PdfError> {
    let file = |name: &str, what: &'static str, bytes: Vec<u8>| Handed { name: name.into(), what, bytes };
    let paper = pdf(derived, wish)?;
    Ok(vec![
        file("bid.pdf", "the bid schedule: items and quantities, to be priced and signed by who bids", paper),
        file("bid.csv", "the bid schedule as a table", csv(derived).into()),
    ])
}
