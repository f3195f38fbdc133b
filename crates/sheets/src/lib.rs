//! Paper: what to know before digging, plan sheet, profiles, cut sheets, material list, cost, findings, cautions; and
//! the dossier of what lies in the ground. Pages are data first ([`Page`]), then PDF ([`pdf`]), which fences the PDF library.
//! Beside them the field page, HTML for a phone ([`field_page`]).

mod bid;
mod book;
mod cover;
mod cut_columns;
mod cut_fill;
mod cut_notes;
mod cut_pages;
mod design_table;
mod details;
mod dossier;
mod edition;
mod facts;
mod field;
mod flow;
pub mod html;
mod ink;
mod labels;
mod layouts;
mod lesson;
mod line_index;
mod lists;
mod look;
mod match_lines;
mod notices;
mod page;
mod pdf;
mod picture;
mod plan_labels;
mod plan_sheet;
mod plan_side;
mod profile_pages;
mod profile_strips;
mod scale;
mod sheet_index;
mod sketch;
mod title_block;
mod tongue;
mod trellis;
mod vicinity;

pub use bid::{BID_TERMS, BIDDER, bid_book};
pub use book::{Book, Work, book, book_beside, line_book};
pub use dossier::{Dossier, NOT_TO_DIG_BY, PhotoRow, dossier};
pub use edition::{Edition, HeldBack, edition, edition_without_rods, held_back, issue};
pub use facts::told;
pub use field::{Degrees, field_page, mark};
pub use ink::Ink;
pub use layouts::LayoutColumn;
pub use lesson::{LessonWork, lesson_book, lesson_page};
pub use notices::{Listed, cut_sheet, listed, notices};
pub use page::{Align, Item, LEAST_PT, Page, Paper, Part, Shape, Stroke, Text};
pub use pdf::{PdfError, pdf};
pub use picture::Picture;
pub use tongue::Tongue;
