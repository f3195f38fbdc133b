//! Paper: plan sheet, profiles, cut sheets, material list, cost, findings, cautions. Pages are data first ([`Page`]),
//! then PDF ([`pdf`]), which fences the PDF library.

mod book;
mod cut_pages;
mod edition;
mod flow;
mod ink;
mod labels;
mod lists;
mod page;
mod pdf;
mod plan_labels;
mod plan_sheet;
mod plan_side;
mod profile_pages;

pub use book::{Book, Work, book, line_book};
pub use edition::{Edition, digests, edition};
pub use ink::Ink;
pub use page::{Align, Item, Page, Paper, Shape, Stroke, Text};
pub use pdf::{PdfError, pdf};
