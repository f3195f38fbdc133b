//! The register of sources: what a mark in square brackets stands for, and how far its document was read.
//!
//! Marks stand in the sources of checks and limits and in doc comments: `[IDH]`, `[CPS606, memory]`, `[444: 10 ft]`. Parts
//! between brackets are parted by comma, semicolon or stroke, and each begins with the mark of a row of [`SOURCES`].

/// How a source was known when it was cited.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// The passage was read in the document itself.
    Read,
    /// Only its opening or a piece of it could be read.
    InPart,
    /// As another text quotes it; the document itself was not seen.
    Secondhand,
    /// From memory, unverified: to be held against the document before it is taken as a fact.
    Memory,
    /// Our own: a figure proposed or worked out here.
    Own,
}

impl Known {
    /// In words that end a sentence about a source.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Read => "read there",
            Self::InPart => "read in part",
            Self::Secondhand => "as quoted elsewhere, not seen itself",
            Self::Memory => "source not verified",
            Self::Own => "our own",
        }
    }
}

/// A row of the register.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// The mark by which it is cited.
    pub mark: &'static str,
    /// What a reader is told in a line: "USDA practice standard 606".
    pub short: &'static str,
    /// Who wrote or issued it.
    pub author: &'static str,
    /// What it is called, or what it is where it has no title.
    pub title: &'static str,
    /// Edition, number or chapter; empty where there is none or it is not known.
    pub edition: &'static str,
    /// Year; `None` where it is not known.
    pub year: Option<u16>,
    /// How it was known.
    pub known: Known,
}

impl Source {
    /// The row as one line: `Indiana Drainage Handbook: State of Indiana, section 5.2, 1999 (read in part)`.
    pub fn line(&self) -> String {
        let year = self.year.map(|year| year.to_string()).unwrap_or_default();
        let parts = [self.author, self.title, self.edition, &year];
        let told: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        format!("{}: {} ({})", self.short, told.join(", "), self.known.words())
    }
}

/// The row that a part between brackets begins with: `ILRI16 copy` is [ILRI16].
fn begins(part: &str) -> Option<&'static Source> {
    let ends = |rest: &str| !rest.starts_with(|c: char| c.is_alphanumeric() || c == '-');
    SOURCES.iter().find(|row| part.strip_prefix(row.mark).is_some_and(ends))
}

/// Every part between square brackets of a text, with its row; `None` where it begins with no mark of the register.
pub fn cited(text: &str) -> Vec<(&str, Option<&'static Source>)> {
    let inside = text.split('[').skip(1).filter_map(|rest| rest.split_once(']')).map(|(inside, _)| inside);
    let parts = inside.flat_map(|inside| inside.split([',', ';', '/'])).map(str::trim);
    parts.map(|part| (part, begins(part))).collect()
}

/// The marks of a text written out, a line each, none twice.
pub fn written_out(text: &str) -> String {
    let mut lines: Vec<String> = Vec::new();
    for line in cited(text).into_iter().filter_map(|(_, row)| row).map(Source::line) {
        if !lines.contains(&line) {
            lines.push(line);
        }
    }
    lines.join("\n")
}

/// A source in words, marks told by the short words of their rows: "height over low water: USDA practice standard 606
/// (source not verified)". What stands before a mark is what it is the source of.
pub fn in_words(text: &str) -> String {
    let mut told: Vec<String> = Vec::new();
    let mut rest = text;
    while let Some((before, (inside, after))) =
        rest.split_once('[').and_then(|(before, from)| Some((before, from.split_once(']')?)))
    {
        let what = before.trim_matches([' ', ',', ';']);
        let whence = parts_in_words(inside);
        told.push(if what.is_empty() { whence } else { format!("{what}: {whence}") });
        rest = after;
    }
    told.extend(Some(rest.trim_matches([' ', ',', ';']).to_string()).filter(|rest| !rest.is_empty()));
    told.join("; ")
}

/// The parts between two brackets in words: `CPS606, memory` is "USDA practice standard 606 (source not verified)".
fn parts_in_words(inside: &str) -> String {
    let parts = || inside.split([',', ';', '/']).map(str::trim);
    let from_memory = parts().any(|part| part.starts_with("memory"));
    let word = |part: &str| {
        let row = begins(part)?;
        let more = part[row.mark.len()..].trim_matches([' ', ':']);
        let dot = if more.is_empty() || more.starts_with('.') { "" } else { ", " };
        let unsure = (from_memory || row.known == Memory).then_some(" (source not verified)");
        Some(format!("{}{dot}{more}{}", row.short, unsure.unwrap_or_default()))
    };
    let words: Vec<String> = parts().filter(|part| !part.starts_with("memory")).filter_map(word).collect();
    if words.is_empty() { "source not verified".into() } else { words.join("; ") }
}

#[allow(clippy::too_many_arguments, reason = "a row of a table")]
const fn row(
    mark: &'static str,
    short: &'static str,
    author: &'static str,
    title: &'static str,
    edition: &'static str,
    year: u16,
    known: Known,
) -> Source {
    let year = if year == 0 { None } else { Some(year) };
    Source { mark, short, author, title, edition, year, known }
}

use Known::{InPart, Memory, Own, Read, Secondhand};

/// Every source that is cited, by mark. Year 0 stands for a year that is not known.
#[rustfmt::skip]
pub const SOURCES: &[Source] = &[
    row("16 USC 3821", "US wetland law, 16 USC 3821", "United States Congress", "United States Code, wetlands made croppable by drainage", "title 16, section 3821(d)", 0, Read),
    row("29 CFR 1926", "US safety rules, 29 CFR 1926", "US Department of Labor", "Safety and health regulations for construction", "title 29, part 1926, as quoted on copies of its text", 0, Secondhand),
    row("444", "a USDA state construction specification 444", "a state office of the USDA conservation service", "Subsurface drainage, construction specification", "444", 0, Read),
    row("46", "Illinois Urban Manual, specification 46", "Illinois Urban Manual", "Tile drains for land drainage, construction specification", "46", 0, InPart),
    row("811", "the states' one-call centers", "state one-call centers of the US", "pages on having buried lines located", "", 0, Read),
    row("AGTALK", "growers on a forum", "growers", "a forum for farmers: anecdote only", "", 0, InPart),
    row("AHDB-new", "British drainage advice (AHDB)", "Agriculture and Horticulture Development Board (UK)", "Field drainage: new systems, web page", "", 0, InPart),
    row("ASTM F449", "ASTM F449", "ASTM International", "Subsurface installation of corrugated polyethylene pipe for agricultural drainage", "F449, annex", 0, Memory),
    row("BILINEAR", "an encyclopedia on the web", "an encyclopedia on the web", "bilinear interpolation and its worked example, in a copy", "", 0, Read),
    row("CLASS-K", "a page on soil classes", "a page on water that soils let go", "class means of retention and conductivity, Ksat by texture", "", 0, Read),
    row("CONTR-note", "a drainage contractor", "a drainage contractor", "a note on tees, wyes and roots: indicative only", "", 0, InPart),
    row("CPS606", "USDA practice standard 606", "USDA Natural Resources Conservation Service", "Conservation practice standard: Subsurface drain", "code 606", 0, Memory),
    row("DTS", "a site on safety at drain tile work", "a site on safety at drain tile work", "digging near buried lines, web page", "", 0, InPart),
    row("E3467", "Michigan State Extension bulletin E3467", "Michigan State University Extension", "Bulletin E3467", "", 2023, Read),
    row("EB11", "Encyclopaedia Britannica, 1910", "Encyclopaedia Britannica", "drainage of land", "11th edition, volume 8", 1910, InPart),
    row("EFH14", "USDA Engineering Field Handbook, chapter 14", "USDA Natural Resources Conservation Service", "Engineering Field Handbook: Water management (drainage)", "National Engineering Handbook part 650, chapter 14", 2001, Memory),
    row("EP260", "ASAE EP260", "American Society of Agricultural Engineers", "Design and construction of subsurface drains in humid areas", "EP260", 0, Memory),
    row("EP480", "ASAE EP480", "American Society of Agricultural Engineers", "Design of subsurface drains in humid areas", "EP480", 1998, Memory),
    row("EVERETT", "a city's stormwater manual", "a city's stormwater manual", "subsurface drains, web page", "", 0, InPart),
    row("EXT-tab", "tables of a Midwest extension bulletin", "a university extension bulletin of the US Midwest", "table of least grades and spacings, as reprinted; its grades come out when worked anew", "", 0, Secondhand),
    row("FAO60", "FAO paper 60", "Food and Agriculture Organization", "Irrigation and Drainage Paper 60, on ochre", "revision 1", 2007, InPart),
    row("FAO60-es", "FAO paper 60 in Spanish", "Food and Agriculture Organization", "Materiales para sistemas de drenaje subterráneo: its title and contents, for terms", "Estudio Riego y Drenaje 60, revision 1", 2009, InPart),
    row("FAO62", "FAO paper 62", "Food and Agriculture Organization", "Guidelines and computer programs for the planning and design of land drainage systems", "Irrigation and Drainage Paper 62, annex 20", 2007, Secondhand),
    row("FAO80", "FAO, porosity by texture", "Food and Agriculture Organization", "drainable porosity by texture, as a Brazilian manual has it", "table 3 p. 14, by notes that give its pages", 1980, Secondhand),
    row("FAS", "Scotland's Farm Advisory Service", "Scotland's Farm Advisory Service", "Technical note TN728, field drainage", "", 0, InPart),
    row("FEET", "US Federal Register on the foot", "US Federal Register", "Deprecation of the US survey foot", "2020-21902", 2020, Read),
    row("FORUM-R", "growers on a forum", "growers", "a forum on cover over pipe: anecdote only", "", 0, InPart),
    row("GARDEN", "a page on garden drains", "a page on garden drains", "joining branches", "", 0, InPart),
    row("HEC22", "US highway manual HEC-22", "US Federal Highway Administration", "Urban drainage design manual", "HEC-22, 4th edition, as transcribed", 2024, Secondhand),
    row("HIGHWAY-N", "a state highway manual", "a state highway department", "Highway design manual: roughness of corrugated plastic", "table 851.2", 0, Read),
    row("HORN81", "Horn 1981", "B. K. P. Horn", "Hill shading and the reflectance map", "Proceedings of the IEEE 69(1)", 1981, Secondhand),
    row("IDH", "Indiana Drainage Handbook", "State of Indiana", "Indiana Drainage Handbook", "section 5.2, practices 201 to 204, revised", 1999, InPart),
    row("ILRI16", "Drainage Principles and Applications (ILRI 16)", "International Institute for Land Reclamation and Improvement", "Drainage Principles and Applications", "publication 16, 2nd edition, chapters 8 and 21", 1994, Secondhand),
    row("ILRI56", "Subsurface Drainage Practices (ILRI 56)", "International Institute for Land Reclamation and Improvement", "Subsurface Drainage Practices", "publication 56, table 14 p. 175, by notes that give its pages", 2005, Secondhand),
    row("IOWADOT", "Iowa DOT construction manual", "Iowa Department of Transportation", "Construction manual 6.60 and specification 2502", "", 0, Read),
    row("ISU-bid", "an Iowa State farm tile bid", "Iowa State University", "Farm tile bid specification", "", 0, InPart),
    row("K78", "mean properties of 1,845 soils, 1978", "Water Resources Research", "mean hydraulic properties of 1,845 soils", "14:601-604, by way of an extension page", 1978, Secondhand),
    row("LAW-IA", "Iowa drainage law explained", "a center for agricultural law, Iowa State University", "Iowa Code 468.621 explained", "", 2020, InPart),
    row("LAW-MAG", "a drainage trade magazine on the law", "a drainage trade magazine", "outlets and the law", "November", 2016, InPart),
    row("LAW-NY", "New York's law of surface water", "a treatise and a report on New York's law of surface water", "passages, and report CLRP 15-01", "", 2015, InPart),
    row("LICO", "Drainage Guide for Ontario", "an Ontario drainage directory", "pages on the Drainage Guide for Ontario, Publication 29", "", 2024, Secondhand),
    row("MAG-sock", "a drainage trade magazine", "a drainage trade magazine", "when pipe wants a sock", "May", 2022, InPart),
    row("MAG-space", "a drainage trade magazine", "a drainage trade magazine", "spacing of drains", "May", 2021, InPart),
    row("MN-LAT", "a Minnesota board on lateral effect", "a Minnesota board for water and soil", "lateral effect of drains on wetlands", "", 0, InPart),
    row("MSU-out", "Michigan State Extension, outlets", "Michigan State University Extension", "Drainage: outlets", "section 9, text of a figure; its running text has a slip", 0, Read),
    row("MSU-root", "Michigan State Extension, roots and depth", "Michigan State University Extension", "Drainage: roots, depth, laying", "section 3.1", 0, InPart),
    row("MSU-sed", "Michigan State Extension, sediment", "Michigan State University Extension", "Drainage: sediment", "section 3.2", 0, InPart),
    row("MX-drains", "a Mexican manual on farm drains", "a Mexican institute of water technology", "a manual of the design and laying of farm drains in irrigated dry land: terms of chapter 3", "", 0, InPart),
    row("MX-words", "words of Spanish-speaking crews", "crews in North America", "what levels, rods, hubs and fittings are called beside the trench", "", 0, Memory),
    row("NCH33", "National Corn Handbook 33", "a National Corn Handbook of US extension services", "NCH-33", "", 0, InPart),
    row("NCSU-space", "North Carolina State Extension, spacing", "North Carolina State University Extension", "spacing of drains", "", 0, Read),
    row("NEH624", "USDA Engineering Handbook, part 624", "USDA Natural Resources Conservation Service", "National Engineering Handbook: Drainage of agricultural land", "part 624, chapter 4, by notes that give its pages", 1971, Secondhand),
    row("NEH630", "USDA Engineering Handbook, part 630", "USDA Natural Resources Conservation Service", "National Engineering Handbook: Hydrologic soil groups", "part 630, chapter 7, table 7-1, as code of the agency's staff has it", 2009, Secondhand),
    row("NRCS-MN", "USDA Minnesota on wetlands", "USDA Natural Resources Conservation Service, Minnesota", "wetland compliance", "", 0, InPart),
    row("OH-9", "USDA Ohio specification OH-9", "a state office of the USDA conservation service, Ohio", "Subsurface drain investigation, removal and repair, construction specification", "OH-9", 2017, InPart),
    row("OLD1867", "an American drainage manual of 1867", "an American manual of drainage", "Draining for Profit, and Draining for Health", "", 1867, InPart),
    row("OLD1912", "an American farm text of 1912", "a farm text", "Crops and Methods for Soil Improvement, chapter on drainage", "", 1912, InPart),
    row("OMAFRA-oper", "Ontario factsheet 10-091", "Ontario's ministry of agriculture", "Operating and maintaining a tile drainage system", "factsheet 10-091", 2010, InPart),
    row("OR-OSHA-es", "Oregon OSHA on excavations, bilingual", "Oregon Occupational Safety and Health Division", "Excavaciones / Excavations: a bilingual training module with a dictionary", "its opening, for terms", 0, InPart),
    row("OSHA-es", "OSHA construction glossary in Spanish", "US Occupational Safety and Health Administration", "Construcción, Glosario; and Frequently used construction industry terms, English to Spanish", "their openings, for terms", 0, InPart),
    row("OSHA-sum", "a contractors' summary of the trench rules", "a contractors' association", "summary of 29 CFR 1926, subpart P", "", 0, InPart),
    row("PIPE-SHEET", "a pipe maker's data sheet", "a pipe maker", "data sheet: indicative only", "", 0, InPart),
    row("POSTS", "New Mexico State guide H-331, and trellis posts described", "New Mexico State University Extension; a tax court", "Guide H-331, and a description of trellis posts", "", 0, InPart),
    row("PURDUE-root", "a farm-radio piece on roots", "a farm-radio piece", "roots in tile", "", 0, InPart),
    row("PURDUE23", "a study of mapping tile, 2023", "Agrosystems, Geosciences & Environment", "mapping tile lines", "", 2023, InPart),
    row("REPAIR-PLAN", "a drainage contractor", "a drainage contractor", "How to repair a broken line, web page: indicative only", "", 0, InPart),
    row("RIP", "two vineyard diaries", "two vineyard diaries", "ripping before planting: anecdote only", "", 0, InPart),
    row("SAVINE", "a handbook for wine and table grapes", "a handbook of soil preparation for wine and table grapes", "summary on drainage", "p. 96", 0, InPart),
    row("SLOPE-EX", "worked examples of slope", "makers of mapping software", "worked examples of slope and aspect by Horn's weights", "", 0, Read),
    row("SR06", "Saxton and Rawls 2006", "K. E. Saxton and W. J. Rawls", "Soil water characteristic estimates by texture and organic matter", "Soil Science Society of America Journal 70, 1569-1578; equations and ten rows of the table as transcribed", 2006, Secondhand),
    row("SSM", "USDA Soil Survey Manual", "USDA Soil Survey Staff", "Soil Survey Manual: textures, classes of conductivity", "as two open codings of the triangle have it", 0, Secondhand),
    row("SW-S14", "a stormwater manual of 2007", "a stormwater manual", "Subsurface drain, fact sheet", "appendix I.S-14", 2007, Read),
    row("TEAG", "Irish land drainage manual (Teagasc)", "Teagasc (Ireland)", "Land drainage manual", "July", 2013, InPart),
    row("TM-EX", "EPSG guidance note 7-2", "EPSG Guidance Note 7-2 and open projection libraries", "check points of the transverse Mercator projection, as their tests print them", "", 0, Secondhand),
    row("TOLONO", "a village code of the US Midwest", "a village code of the US Midwest", "repair of drains that were cut", "", 0, InPart),
    row("TR55", "USDA Technical Release 55", "USDA Natural Resources Conservation Service", "Urban hydrology for small watersheds", "Technical Release 55, chapter 2; rows of table 2-2b from memory", 1986, InPart),
    row("TREES", "a county factsheet on tree roots", "a county of the US Midwest", "Tile drains and tree roots, factsheet", "", 0, Read),
    row("UF671", "University of Florida circular 671", "University of Florida", "Circular 671, ochre and fine socks", "", 1985, InPart),
    row("UKVINE", "UK vine growing advice", "a knowledge base of vine growing (UK)", "drainage", "", 0, InPart),
    row("UMN-ten", "Minnesota Extension, ten points", "University of Minnesota Extension", "ten points of planning drainage", "", 0, InPart),
    row("USBR", "US Bureau of Reclamation drainage manual", "US Bureau of Reclamation", "Drainage Manual", "chapter 5, by notes that quote it", 0, Secondhand),
    row("WISC", "Wisconsin Extension, maintaining tile", "University of Wisconsin Extension", "maintaining tile", "", 0, InPart),
    row("computed", "worked out here", "this project", "worked out here from what is named beside it", "", 0, Own),
    row("judgement", "our figure, adjustable", "this project", "a figure proposed as a start value, to be shown to a practitioner", "", 0, Own),
    row("memory", "source not verified", "no document at hand", "known to the trade; to be held against a document before it is taken as a fact", "", 0, Memory),
    row("state law", "state law", "the state the field lies in", "its law on digging near buried lines, which may ask more", "", 0, Memory),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_register_is_in_order_and_every_row_says_who_and_what() {
        assert!(SOURCES.windows(2).all(|pair| pair[0].mark < pair[1].mark), "marks in order, none twice");
        assert!(SOURCES.iter().all(|row| !row.author.is_empty() && !row.title.is_empty()));
    }

    #[test]
    fn a_mark_is_found_at_the_head_of_each_part() {
        let marks = |text| cited(text).iter().map(|(_, row)| row.map(|row| row.mark)).collect::<Vec<_>>();
        assert_eq!(
            marks("[EVERETT for 9]; rest [CPS606, memory]"),
            [Some("EVERETT"), Some("CPS606"), Some("memory")]
        );
        assert_eq!(
            marks("[EFH14 / ASTM F449 annex, memory: low]"),
            [Some("EFH14"), Some("ASTM F449"), Some("memory")]
        );
        assert_eq!(marks("[29 CFR 1926.652; OSHA-sum]"), [Some("29 CFR 1926"), Some("OSHA-sum")]);
        assert_eq!(marks("[461] [IDHX] [IDH-2]"), [None, None, None]);
        assert_eq!(marks("no bracket, [none closed"), []);
    }

    #[test]
    fn marks_are_written_out_once_with_how_they_were_known() {
        assert_eq!(
            written_out("[IDH]; [IDH] and [judgement]"),
            "Indiana Drainage Handbook: State of Indiana, Indiana Drainage Handbook, section 5.2, practices 201 to 204, revised, 1999 (read in \
             part)\nour figure, adjustable: this project, a figure proposed as a start value, to be shown to a practitioner (our own)"
        );
        assert_eq!(written_out("see checks 67 to 71"), "");
    }

    #[test]
    fn a_source_is_told_in_words_without_marks() {
        let told = [
            ("[IDH] [OLD1867]", "Indiana Drainage Handbook; an American drainage manual of 1867"),
            ("[IDH]; limits [judgement]", "Indiana Drainage Handbook; limits: our figure, adjustable"),
            ("[CPS606, memory]", "USDA practice standard 606 (source not verified)"),
            ("[memory]; strip [judgement]", "source not verified; strip: our figure, adjustable"),
            (
                "[29 CFR 1926.652; OSHA-sum]",
                "US safety rules, 29 CFR 1926.652; a contractors' summary of the trench rules",
            ),
            ("[444: 10 ft]", "a USDA state construction specification 444, 10 ft"),
            ("common practice: 50 ft or 15 m", "common practice: 50 ft or 15 m"),
            ("[judgement]; where unknown 24 in", "our figure, adjustable; where unknown 24 in"),
        ];
        told.into_iter().for_each(|(marks, words)| assert_eq!(in_words(marks), words));
    }
}
