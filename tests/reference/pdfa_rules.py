"""Holds PDF files against the rules of PDF/A-2a (ISO 19005-2), rule by rule, and prints what breaks one.

The files are read by pikepdf (qpdf), which shares nothing with what wrote them. Each rule names its clause. What a script cannot
judge (whether words describe a drawing) is not held here.
Run: pip install pikepdf==10.18.0 && python pdfa_rules.py FILE... [--says TEXT]...
"""

import re
import sys
from xml.etree import ElementTree

import pikepdf

assert pikepdf.__version__ == "10.18.0", pikepdf.__version__

PAINTS = set("f F f* B B* b b* S s sh Do Tj TJ ' \"".split())
SHOWS = {"Tj", "TJ", "'", '"'}
DEVICE = {"g", "G", "rg", "RG", "k", "K"}
STANDARD = set(
    "Document Part Art Sect Div BlockQuote Caption TOC TOCI Index NonStruct Private P H H1 H2 H3 H4 H5 H6 L LI Lbl LBody Table TR TH "
    "TD THead TBody TFoot Span Quote Note Reference BibEntry Code Link Annot Ruby Warichu Figure Formula Form".split()
)
FORBIDDEN = ["/JavaScript", "/AA", "/OCProperties", "/Requirements", "/NeedsRendering", "/AF"]


class Held:
    """One file and what breaks a rule in it."""

    def __init__(self, path):
        self.path, self.broken = path, []
        self.raw = open(path, "rb").read()
        self.pdf = pikepdf.open(path)

    def rule(self, holds, clause, words):
        if not holds:
            self.broken.append(f"{clause}: {words}")

    def all(self):
        self.file()
        self.metadata()
        self.colours()
        self.parents = {}
        self.structure()
        self.fonts = {}
        text = [self.page(number, page) for number, page in enumerate(self.pdf.pages, 1)]
        return "\n".join(text)

    def file(self):
        head = self.raw.split(b"\n", 2)
        self.rule(re.fullmatch(rb"%PDF-1\.[0-7]", head[0]), "6.1.2", f"header {head[0]!r}")
        self.rule(head[1][:1] == b"%" and all(byte > 127 for byte in head[1][1:5]), "6.1.2", "binary comment after the header")
        self.rule(self.raw.rstrip().endswith(b"%%EOF"), "6.1.3", "something after the end of the file")
        self.rule("/ID" in self.pdf.trailer and "/Encrypt" not in self.pdf.trailer, "6.1.3", "file ID, no encryption")
        self.rule(not self.pdf.check_pdf_syntax(), "6.1", "syntax")
        root = self.pdf.Root
        for name in FORBIDDEN:
            self.rule(name not in root, "6.5, 6.9, 6.11", f"{name} in the catalog")
        names = root.get("/Names", {})
        self.rule("/EmbeddedFiles" not in names and "/JavaScript" not in names, "6.8", "files or scripts inside")
        for thing in self.pdf.objects:
            if isinstance(thing, pikepdf.Stream):
                filters = str(thing.get("/Filter", ""))
                self.rule("LZW" not in filters and "Crypt" not in filters, "6.1.7", f"filter {filters}")
                self.rule("/F" not in thing, "6.1.7", "a stream in another file")
            if isinstance(thing, pikepdf.String):
                self.rule(len(bytes(thing)) <= 32767, "6.1.13", "a string that is too long")

    def metadata(self):
        packet = self.pdf.Root.get("/Metadata")
        self.rule(packet is not None and "/Filter" not in packet, "6.6.2.1", "metadata, not filtered")
        if packet is None:
            return
        tree = ElementTree.fromstring(re.sub(rb"<\?xpacket.*?\?>", b"", packet.read_bytes()))
        told = {}
        for node in tree.iter():
            told.update(node.attrib)
            told[node.tag] = "".join(node.itertext()).strip()
        pdfaid = "{http://www.aiim.org/pdfa/ns/id/}"
        self.rule(told.get(pdfaid + "part") == "2", "6.6.4", "part 2")
        self.rule(told.get(pdfaid + "conformance") == "A", "6.6.4", "conformance A")
        info = self.pdf.docinfo
        title = told.get("{http://purl.org/dc/elements/1.1/}title", "")
        self.rule(title and title == str(info.get("/Title", "")), "6.6.3", f"titles differ: {title!r}")
        made = told.get("{http://ns.adobe.com/xap/1.0/}CreateDate", "")
        day = re.sub(r"\D", "", str(info.get("/CreationDate", "")))[:8]
        self.rule(re.sub(r"\D", "", made)[:8] == day, "6.6.3", f"days differ: {made!r} {day!r}")

    def colours(self):
        intents = self.pdf.Root.get("/OutputIntents", [])
        kinds = [str(intent.get("/S")) for intent in intents]
        self.rule(kinds.count("/GTS_PDFA1") == 1, "6.2.3", f"output intents {kinds}")
        for intent in intents:
            profile = intent.get("/DestOutputProfile")
            self.rule(profile is not None and profile.read_bytes()[36:40] == b"acsp", "6.2.3", "an ICC profile")

    def structure(self):
        root = self.pdf.Root
        self.rule(bool(root.get("/MarkInfo", {}).get("/Marked", False)), "6.7.2.2", "marked")
        self.rule(str(root.get("/Lang", "")) != "", "6.7.4", "a language")
        tree = root.get("/StructTreeRoot")
        self.rule(tree is not None, "6.7.3.3", "a tag tree")
        if tree is None:
            return
        roles = {str(a): str(b) for a, b in tree.get("/RoleMap", {}).items()}
        self.kinds = {}
        self.element(tree.get("/K"), None, roles, None)
        self.rule("/ParentTree" in tree, "14.7.4.4", "a parent tree")

    def element(self, node, parent, roles, page):
        if node is None:
            return
        if isinstance(node, pikepdf.Array):
            for child in node:
                self.element(child, parent, roles, page)
            return
        if isinstance(node, (int, float)) or not isinstance(node, pikepdf.Dictionary):
            self.parents[(page, int(node))] = parent
            return
        if str(node.get("/Type", "")) == "/MCR":
            own = node.get("/Pg")
            self.parents[(own.objgen if own is not None else page, int(node.MCID))] = parent
            return
        own = node.get("/Pg")
        page = own.objgen if own is not None else page
        kind = str(node.get("/S"))[1:]
        kind = roles.get("/" + kind, "/" + kind)[1:]
        self.kinds[kind] = self.kinds.get(kind, 0) + 1
        self.rule(kind in STANDARD, "6.7.3.4", f"kind {kind} of no standard")
        if kind == "Figure":
            self.rule(str(node.get("/Alt", "")).strip() != "", "6.7.5", "a drawing without words")
        wanted = {"TR": ("Table", "THead", "TBody", "TFoot"), "TD": ("TR",), "TH": ("TR",)}.get(kind)
        self.rule(wanted is None or parent in wanted, "14.8.4.3", f"{kind} in {parent}")
        if parent == "Table":
            self.rule(kind == "TR", "14.8.4.3", f"{kind} in a table")
        self.element(node.get("/K"), kind, roles, page)

    def font(self, font):
        """What a font draws: Unicode by code, and the codes that have a width."""
        key = font.objgen
        if key in self.fonts:
            return self.fonts[key]
        name = str(font.get("/BaseFont"))
        self.rule(str(font.get("/Subtype")) == "/Type0", "6.2.11.2", f"{name}: kind of font")
        self.rule(str(font.get("/Encoding")) == "/Identity-H", "6.2.11.3", f"{name}: encoding")
        own = font.DescendantFonts[0]
        described = own.FontDescriptor
        self.rule("/FontFile2" in described or "/FontFile3" in described, "6.2.11.4.1", f"{name}: not in the file")
        self.rule("/ToUnicode" in font, "6.2.11.7.2", f"{name}: no Unicode")
        if str(own.Subtype) == "/CIDFontType2":
            self.rule("/CIDToGIDMap" in own, "6.2.11.3.2", f"{name}: no map of glyphs")
        unicode = {}
        cmap = font.ToUnicode.read_bytes().decode("latin-1") if "/ToUnicode" in font else ""
        for block in re.findall(r"beginbfchar(.*?)endbfchar", cmap, re.S):
            for code, text in re.findall(r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]*)>", block):
                unicode[int(code, 16)] = bytes.fromhex(text).decode("utf-16-be")
        for block in re.findall(r"beginbfrange(.*?)endbfrange", cmap, re.S):
            for low, high, text in re.findall(r"<(\w+)>\s*<(\w+)>\s*<(\w+)>", block):
                for k in range(int(low, 16), int(high, 16) + 1):
                    unicode[k] = chr(int(text, 16) + k - int(low, 16))
        self.fonts[key] = unicode
        return unicode

    def page(self, number, page):
        space = page.get("/Resources", {})
        here = page.obj.objgen
        self.rule("/Annots" not in page and "/AA" not in page, "6.3, 6.5", f"page {number}: notes or actions")
        for name, state in space.get("/ExtGState", {}).items():
            sees_through = any(float(state.get(key, 1)) != 1 for key in ("/ca", "/CA"))
            self.rule(not sees_through and "/TR" not in state, "6.2.5, 6.2.10", f"page {number}: {name} is seen through")
        for name, colour in space.get("/ColorSpace", {}).items():
            kind = str(colour[0]) if isinstance(colour, pikepdf.Array) else str(colour)
            self.rule(kind in ("/ICCBased", "/Separation", "/Pattern"), "6.2.4", f"page {number}: colour {name} {kind}")
        marks, deepest, depth, unicode, said, seen = [], 0, 0, {}, [], set()
        for operands, operator in pikepdf.parse_content_stream(page):
            operator = str(operator)
            if operator == "q":
                depth += 1
                deepest = max(deepest, depth)
            elif operator == "Q":
                depth -= 1
            elif operator in ("BMC", "BDC"):
                told = operands[1] if operator == "BDC" else {}
                told = space["/Properties"][str(told)] if isinstance(told, pikepdf.Name) else told
                mark = int(told["/MCID"]) if "/MCID" in told else None
                if mark is not None:
                    self.rule((here, mark) in self.parents, "6.7.3.3", f"page {number}: mark {mark} in no tag")
                    self.rule(mark not in seen, "14.7.4", f"page {number}: mark {mark} twice")
                    seen.add(mark)
                marks.append((str(operands[0]), mark, told.get("/ActualText")))
            elif operator == "EMC":
                marks.pop()
            elif operator == "Tf":
                unicode = self.font(space["/Font"][str(operands[0])])
            elif operator in DEVICE:
                self.rule(False, "6.2.4.3", f"page {number}: device colour {operator}")
            elif operator == "Do":
                self.picture(number, space["/XObject"][str(operands[0])])
            if operator in PAINTS or operator == "Do":
                tagged = any(mark is not None or name == "/Artifact" for name, mark, _ in marks)
                self.rule(tagged, "6.7.3.1", f"page {number}: {operator} is neither matter nor an artifact")
            if operator in SHOWS:
                said.append(self.shown(number, operands, unicode, marks))
        self.rule(not marks and depth == 0, "6.1", f"page {number}: marks or states left open")
        self.rule(deepest <= 28, "6.1.13", f"page {number}: states {deepest} deep")
        return "".join(said)

    def picture(self, number, drawn):
        """A picture: no form from outside, nothing smoothed or swapped for another, colours by a profile (ISO 19005-2, 6.2.8)."""
        self.rule(drawn["/Subtype"] == "/Image", "6.2.9", f"page {number}: an object outside the page's own content")
        for key in ["/Alternates", "/OPI"]:
            self.rule(key not in drawn, "6.2.8", f"page {number}: a picture with {key}")
        self.rule(not drawn.get("/Interpolate", False), "6.2.8", f"page {number}: a picture that is smoothed")
        colours = drawn["/ColorSpace"]
        profiled = not isinstance(colours, pikepdf.Name) and colours[0] == "/ICCBased"
        self.rule(profiled, "6.2.4.3", f"page {number}: a picture in device colour")

    def shown(self, number, operands, unicode, marks):
        parts = operands[-1] if isinstance(operands[-1], pikepdf.Array) else [operands[-1]]
        codes = b"".join(bytes(part) for part in parts if isinstance(part, pikepdf.String))
        text = ""
        for k in range(0, len(codes), 2):
            code = int.from_bytes(codes[k : k + 2], "big")
            self.rule(code != 0, "6.2.11.8", f"page {number}: a letter that is not there")
            own = unicode.get(code)
            actual = any(told is not None for _, _, told in marks)
            self.rule(own or actual, "6.2.11.7.2", f"page {number}: code {code} without Unicode")
            for letter in own or "":
                number_of = ord(letter)
                private = 0xE000 <= number_of <= 0xF8FF or number_of >= 0xF0000
                self.rule(not private and number_of not in (0, 0xFEFF, 0xFFFE), "6.2.11.7.3", f"U+{number_of:04X}")
            text += own or ""
        return text


def main(arguments):
    said, files = [], []
    while arguments:
        word = arguments.pop(0)
        if word == "--says":
            said.append(arguments.pop(0))
        else:
            files.append(word)
    broken = 0
    for path in files:
        held = Held(path)
        text = held.all()
        flat = re.sub(r"\s", "", text)
        for words in said:
            held.rule(re.sub(r"\s", "", words) in flat, "says", f"{words!r} is not to be read")
        kinds = ", ".join(f"{count} {kind}" for kind, count in sorted(held.kinds.items()))
        print(f"{path}: {len(held.pdf.pages)} pages, {len(text)} letters, {kinds}: {len(held.broken)} rules broken")
        for words in sorted(set(held.broken))[:20]:
            print(f"  {words}")
        broken += len(held.broken)
    return 1 if broken or not files else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
