"""Holds sheets on paper against what a reader needs of them, by a PDF library that shares nothing with what wrote them.

On every page: no two texts overlap, none leaves the margins, none is smaller than 7 points, every glyph is there. In every set: a
bookmark for each sheet, the pages of the index are right, each printed row of a cut sheet adds up to its last digit, and what is
printed as a sum is the sum of what is printed above it (paper_sums.py).
Run: pip install pymupdf==1.26.4 && python paper_rules.py [--most-pages N] FILE...
"""

import sys

import pymupdf

from paper_cuts import Cuts
from paper_sums import Sums
from paper_words import WORDS

assert pymupdf.VersionBind == "1.26.4", pymupdf.VersionBind

MM = 72 / 25.4
MARGIN = 12 * MM
# Millimetres that lie beyond a margin by rounding, and by which two texts may touch.
SLACK = 0.6 * MM
TOUCH = 0.1 * MM


class Text:
    """A text as it was drawn: where it stands, how large it is, and the box that its capitals take."""

    def __init__(self, span):
        chars = span["chars"]
        self.text = "".join(chr(c[0]) for c in chars)
        self.missing = [chr(c[0]) for c in chars if c[1] == 0 or c[0] in (0, 0xFFFD)]
        self.size = span["size"]
        self.dir = span["dir"]
        self.x, self.y = chars[0][2]
        along = [self.along((x, y)) for c in chars for x, y in ((c[3][0], c[3][1]), (c[3][2], c[3][3]), (c[3][0], c[3][3]), (c[3][2], c[3][1]))]
        upright = abs(self.dir[1]) < 1e-3
        self.long = max(along) if upright else self.along(chars[-1][2]) + 0.5 * self.size
        self.right = self.x + self.long

    def along(self, point):
        return (point[0] - self.x) * self.dir[0] + (point[1] - self.y) * self.dir[1]

    def corners(self):
        (cos, sin), high = self.dir, 0.70 * self.size
        at = lambda along, up: (self.x + cos * along + sin * up, self.y + sin * along - cos * up)
        return [at(0, 0), at(self.long, 0), at(self.long, high), at(0, high)]


def overlap(one, other):
    """Two boxes overlap unless an axis of one of them keeps them apart."""
    for box in (one, other):
        for i in (0, 1):
            (ax, ay), (bx, by) = box[i], box[i + 1]
            length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5 or 1.0
            axis = ((bx - ax) / length, (by - ay) / length)
            spans = [[p[0] * axis[0] + p[1] * axis[1] for p in corners] for corners in (one, other)]
            if max(spans[0]) - TOUCH <= min(spans[1]) or max(spans[1]) - TOUCH <= min(spans[0]):
                return False
    return True


def texts_of(page):
    found = []
    for span in page.get_texttrace():
        if span["chars"] and any(not chr(c[0]).isspace() for c in span["chars"]):
            found.append(Text(span))
    return found


class Held:
    """One set of sheets and what is wrong with it."""

    def __init__(self, path, language="en"):
        self.path, self.wrong, self.words = path, [], WORDS[language]
        self.pdf = pymupdf.open(path)
        self.pages = [texts_of(page) for page in self.pdf]
        self.cuts, self.sums = Cuts(self), Sums(self)

    def say(self, page, words):
        self.wrong.append(f"{self.path} page {page + 1}: {words}")

    def all(self):
        for number, texts in enumerate(self.pages):
            self.page(number, texts)
        self.bookmarks()
        self.index()
        self.cuts.all()
        self.sums.all()
        return self.wrong

    def page(self, number, texts):
        wide, high = self.pdf[number].rect.width, self.pdf[number].rect.height
        boxes = [text.corners() for text in texts]
        for text, box in zip(texts, boxes):
            if text.size < 6.99:
                self.say(number, f"{text.size:.2f} pt: {text.text}")
            if text.missing:
                self.say(number, f"no glyph for {text.missing} in {text.text}")
            xs, ys = [p[0] for p in box], [p[1] for p in box]
            if min(xs) < MARGIN - SLACK or max(xs) > wide - MARGIN + SLACK or min(ys) < MARGIN - SLACK or max(ys) > high - MARGIN + SLACK:
                self.say(number, f"outside the margins: {text.text}")
        order = sorted(range(len(texts)), key=lambda i: min(p[0] for p in boxes[i]))
        for k, i in enumerate(order):
            right = max(p[0] for p in boxes[i])
            for j in order[k + 1 :]:
                if min(p[0] for p in boxes[j]) >= right:
                    break
                if overlap(boxes[i], boxes[j]):
                    self.say(number, f"'{texts[i].text}' over '{texts[j].text}'")
        told = [text.text for text in texts if text.text.startswith(self.words["page"])]
        if told not in ([words.format(number + 1, len(self.pages))] for words in self.words["page of"]):
            self.say(number, f"numbered {told}")

    def bookmarks(self):
        """Each title of a page and each sheet of a line is in the outline, at the page on which it begins."""
        told = {}
        for _, title, page in self.pdf.get_toc():
            told.setdefault(title, page - 1)
        titles = {title for level, title, _ in self.pdf.get_toc() if level == 1}
        for wanted in self.words["titles"]:
            if wanted not in titles:
                self.say(0, f"no bookmark {wanted}")
        for number, texts in enumerate(self.pages):
            for text in texts:
                if self.is_cut_sheet(text) and not self.runs_on(texts, text) and told.get(text.text) is None:
                    self.say(number, f"no bookmark for {text.text}")

    def is_cut_sheet(self, text):
        return text.text.startswith(self.words["cut sheet"] + " ")

    def runs_on(self, texts, head):
        return any(t.text.split(",")[0] == self.words["continued"] and abs(t.y - head.y) < 1 and 0 < t.x - head.right < 20 for t in texts)

    def index(self):
        """The pages that the index of lines names are those on which profile and cut sheet of the line begin."""
        for number, texts in enumerate(self.pages):
            for head in (t for t in texts if t.text == self.words["cut sheet"]):
                row = sorted((t for t in texts if abs(t.y - head.y) < 0.5 and t.x <= head.x), key=lambda t: t.x)
                if len(row) < 6 or row[-2].text != self.words["profile"]:
                    continue
                line, _, _, _, profile, sheet = row[-6:]
                for name in (t for t in texts if abs(t.x - line.x) < 1 and t.y > head.y + 1):
                    page_at = lambda column: next((int(t.text) for t in texts if abs(t.y - name.y) < 0.5 and abs(t.right - column.right) < 1 and t.text.isdigit()), None)
                    self.found_at(number, page_at(profile), f"{name.text}  ")
                    self.found_at(number, page_at(sheet), f"{self.words['cut sheet']} {name.text}")

    def found_at(self, number, page, start):
        if page is not None and not any(t.text.startswith(start) for t in self.pages[page - 1]):
            self.say(number, f"the index names page {page} for '{start}'")


def held(paths, language="en", most=None):
    """Holds sets; what is wrong, and how many rows and sums were looked at."""
    wrong, rows, sums, pages = [], 0, 0, 0
    for path in paths:
        one = Held(path, language)
        wrong += one.all()
        rows, sums, pages = rows + one.cuts.rows, sums + one.sums.count, pages + len(one.pages)
        if most is not None and len(one.pages) > most:
            wrong.append(f"{path}: {len(one.pages)} pages, at most {most} are wanted")
        if not one.cuts.rows or not one.sums.count:
            wrong.append(f"{path}: no row or no sum was found")
    return wrong, rows, sums, pages


def says(path, words, language="en"):
    """True where every page of a set says something, in its head or wherever it stands, in English or in its language."""
    own = WORDS[language]["states"].get(words, words)
    texts = (" ".join(page.get_text().split()) for page in pymupdf.open(path))
    return all(words in text or own in text for text in texts)


def main(arguments):
    most = None
    if arguments[:1] == ["--most-pages"]:
        most, arguments = int(arguments[1]), arguments[2:]
    wrong, rows, sums, pages = held(arguments, most=most)
    for words in wrong[:60]:
        print(words)
    print(f"paper: {len(arguments)} sets, {pages} pages, {rows} rows add up, {sums} sums, {len(wrong)} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
