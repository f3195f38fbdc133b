//! The bid schedule: what is to be priced item by item, with room for prices, bidder and signature.

use takeoff::{Band, Bid};

use crate::book::{Book, Making, Work};
use crate::flow::Flow;
use crate::lists::band_words;
use crate::page::{Align, Page};

/// Type of the schedule, points: its rows are to be written in.
const ROW_PT: f64 = 11.0;

/// What a bidder fills in.
pub const BIDDER: [&str; 6] =
    ["Bidder", "Address", "Telephone, e-mail", "Prices hold until", "Name and signature", "Date"];

/// What the quantities are and are not.
pub const BID_TERMS: &str = "Work in place, worked out from the plan and measured along the slope of the pipe, without waste: \
estimates, to be priced item by item. Rock, water in the trench and old tile that nobody knows of are not in them";

/// The schedule of a plan as pages.
pub fn bid_book(work: &Work) -> Book {
    let making = Making::new(work);
    let pages = making.bid();
    making.bound(pages)
}

impl Making<'_> {
    fn bid(&self) -> Vec<Page> {
        let bid = takeoff::bid(self.work.plan, &self.estimate);
        let mut flow = Flow::new(self, self.work.paper.standing_mm(), "Bid schedule");
        flow.paragraph(&format!("{BID_TERMS}."), 10.0, false);
        if bid.rows.is_empty() {
            flow.paragraph("No new line is drawn: there is nothing to bid on.", ROW_PT, true);
            return flow.finish();
        }
        self.bid_rows(&mut flow, &bid);
        self.depths(&mut flow, &bid);
        flow.paragraph(plan::CAUTION, 8.5, true);
        flow.heading("Bidder");
        let rows: Vec<Vec<String>> = BIDDER.iter().map(|asked| vec![asked.to_string(), String::new()]).collect();
        flow.table(&[("To fill in", 0.3, Align::Left), ("", 0.7, Align::Left)], &rows, ROW_PT);
        flow.finish()
    }

    fn bid_rows(&self, flow: &mut Flow, bid: &Bid) {
        let units = self.work.plan.title.units;
        let row = |(i, row): (usize, &takeoff::BidRow)| {
            let (quantity, unit) = (row.figure(units), row.unit(units));
            vec![(i + 1).to_string(), row.what.clone(), quantity, unit.into(), String::new(), String::new()]
        };
        let mut rows: Vec<Vec<String>> = bid.rows.iter().enumerate().map(row).collect();
        let total = format!("Total of items 1 to {}", bid.rows.len());
        rows.push(vec![String::new(), total, String::new(), String::new(), String::new(), String::new()]);
        let currency = &self.estimate.currency;
        let priced = |what: &str| if currency.is_empty() { what.into() } else { format!("{what}, {currency}") };
        let (price, amount) = (priced("Unit price"), priced("Amount"));
        let columns = [
            ("No.", 0.06, Align::Right),
            ("Item", 0.39, Align::Left),
            ("Quantity", 0.12, Align::Right),
            ("Unit", 0.13, Align::Left),
            (price.as_str(), 0.15, Align::Right),
            (amount.as_str(), 0.15, Align::Right),
        ];
        flow.table(&columns, &rows, ROW_PT);
    }

    /// How deep it is dug: what a price of pipe in place depends on most.
    fn depths(&self, flow: &mut Flow, bid: &Bid) {
        let units = self.work.plan.title.units;
        let band = |band: &Band| {
            format!("{}: {}, {}", band_words(band, units), units.length(band.length_m), units.volume(band.volume_m3))
        };
        let bands: Vec<String> = bid.bands.iter().map(band).collect();
        flow.paragraph(&format!("Depth of trench, for information. {}.", bands.join("; ")), 9.5, false);
        if bid.unknown_m > 0.0 {
            flow.paragraph(&format!("{}.", takeoff::unfathomed(bid.unknown_m, units)), 9.0, true);
        }
    }
}
