"""Holds sheets on paper against what a reader needs of them, by a PDF library that shares nothing with what wrote them.

On every page: no two texts overlap, none leaves the margins, none is smaller than 7 points, every glyph is there. In every set: a
bookmark for each sheet, each printed row of a cut sheet adds up to its last digit, and what is printed as a sum is the sum of what
is printed above it.
Run: pip install pymupdf==1.26.4 && python paper_rules.py [--most-pages N] FILE...
"""

import re
import sys
from decimal import ROUND_HALF_UP, Decimal

import pymupdf

assert pymupdf.VersionBind == "1.26.4", pymupdf.VersionBind

MM = 72 / 25.4
MARGIN = 12 * MM
# Millimetres that lie beyond a margin by rounding, and by which two texts may touch.
SLACK = 0.6 * MM
TOUCH = 0.1 * MM
FIGURE = re.compile(r"[−-]?\d+\.\d+$")


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

    def __init__(self, path):
        self.path, self.wrong, self.rows, self.sums = path, [], 0, 0
        self.pdf = pymupdf.open(path)
        self.pages = [texts_of(page) for page in self.pdf]

    def say(self, page, words):
        self.wrong.append(f"{self.path} page {page + 1}: {words}")

    def all(self):
        for number, texts in enumerate(self.pages):
            self.page(number, texts)
        self.bookmarks()
        self.cut_sheets()
        self.costs()
        self.cuttings()
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

    def bookmarks(self):
        """Each title of a page and each sheet of a line is in the outline, at the page on which it begins."""
        told = {}
        for _, title, page in self.pdf.get_toc():
            told.setdefault(title, page - 1)
        titles = {title for level, title, _ in self.pdf.get_toc() if level == 1}
        for wanted in ("Before digging", "Plan", "Profiles", "Cut sheets", "Material list", "Cost, an estimate", "Findings", "Cautions"):
            if wanted not in titles:
                self.say(0, f"no bookmark {wanted}")
        for number, texts in enumerate(self.pages):
            for text in texts:
                if text.text.startswith("Cut sheet ") and not self.runs_on(texts, text) and text.text not in told:
                    self.say(number, f"no bookmark for {text.text}")

    @staticmethod
    def runs_on(texts, head):
        return any(t.text == "continued" and abs(t.y - head.y) < 1 and t.x > head.x for t in texts)

    def cut_sheets(self):
        for number, texts in enumerate(self.pages):
            for head in (t for t in texts if t.text == "Station"):
                self.table(number, texts, head)

    def table(self, number, texts, station):
        """The rows below the heads of one piece of a cut sheet."""
        left = station.x
        beside = [t.x for t in texts if t.text == "Station" and t.x > left + 20]
        edge = min(beside, default=1e9) - 8
        below = [t.y for t in texts if t.text == "Station" and abs(t.x - left) < 1 and t.y > station.y + 1]
        foot = min(below, default=1e9)
        own = [t for t in texts if left - 1 <= t.x < edge and t.y < foot]
        heads = {t.text: t.right for t in own if abs(t.y - station.y) < 0.5}
        stake = heads.get("level", heads.get("Ground"))
        figures = [t for t in own if t.y > station.y + 1]
        at = lambda right, y: next((t.text for t in figures if right is not None and abs(t.right - right) < 1.0 and abs(t.y - y) < 1.0), None)
        number_at = lambda right, y: (lambda text: Decimal(text.replace("−", "-")) if text and FIGURE.match(text) else None)(at(right, y))
        for cut in [t for t in figures if abs(t.right - heads["CUT"]) < 1.0 and FIGURE.match(t.text)]:
            self.rows += 1
            value = Decimal(cut.text.replace("−", "-"))
            level, invert = number_at(stake, cut.y), number_at(heads["Invert"], cut.y)
            if level is None or invert is None or level - invert != value:
                self.say(number, f"{level} less {invert} is not {value}")
            bottom = number_at(heads["bottom"], cut.y)
            if bottom is None or not any(bottom - value == wall for wall in self.walls(texts)):
                self.say(number, f"{value} with wall and bedding is not {bottom}")
            if "of invert" in heads:
                ground, depth = number_at(heads.get("Ground"), cut.y), number_at(heads["of invert"], cut.y)
                if ground is not None and depth is not None and ground - invert != depth:
                    self.say(number, f"{ground} less {invert} is not {depth}")
            inches = at(heads.get("and inches"), cut.y)
            if inches is not None and inches != eighths(value):
                self.say(number, f"{value} ft is {eighths(value)}, not {inches}")
            places = {len(text.split(".")[1]) for text in (cut.text, str(level), str(invert), str(bottom)) if "." in text}
            if len(places) != 1:
                self.say(number, f"figures of one row with {places} decimals")

    def walls(self, texts):
        """Wall and bedding as any sheet so far told it."""
        for text in texts:
            for figure in re.findall(r"(\d+\.\d+) (?:ft|m)\b", text.text.split("edding", 1)[1] if "edding" in text.text else text.text):
                self.told_walls.add(Decimal(figure))
        return self.told_walls

    told_walls = set()

    def costs(self):
        """Amounts make up material and work, and those the total."""
        money = lambda text: Decimal(re.sub(r"[^\d.−-]", "", text).replace("−", "-"))
        for number, texts in enumerate(self.pages):
            if not any(t.text == "Cost, an estimate" for t in texts) or not any(t.text == "Amount" for t in texts):
                continue
            right = next(t.right for t in texts if t.text == "Amount")
            sums = {t.text: t.y for t in texts if t.text in ("Material", "Work", "Total")}
            on_right = lambda y: next((money(t.text) for t in texts if abs(t.y - y) < 1 and re.search(r"\d\.\d\d$", t.text) and t.right > right - 3), None)
            if set(sums) != {"Material", "Work", "Total"}:
                continue
            amounts = [money(t.text) for t in texts if abs(t.right - right) < 1.5 and t.y < sums["Material"] - 2 and re.search(r"\d\.\d\d$", t.text)]
            material, work, total = (on_right(sums[what]) for what in ("Material", "Work", "Total"))
            self.sums += 1
            if material + work != total or sum(amounts) != total:
                self.say(number, f"{sum(amounts)} in all, {material} and {work} are {total}")

    def cuttings(self):
        """Cuts make up the rolls less what is left over, to the rounding of each."""
        for number, texts in enumerate(self.pages):
            for head in (t for t in texts if t.text.startswith("Cutting ")):
                words = " ".join(t.text for t in texts if head.y < t.y < head.y + 40)
                found = re.search(r"(\d+) rolls? of ([\d.]+) (?:ft|m).*?; ([\d.]+) (?:ft|m) left over", words)
                if not found:
                    continue
                self.rolls = (int(found[1]), Decimal(found[2]), Decimal(found[3]))
                self.sums += 1
                if self.rolls[0] * self.rolls[1] < self.rolls[2]:
                    self.say(number, f"{self.rolls}: more left over than there is")


def eighths(feet):
    """Feet, inches and eighths of a figure in feet."""
    count = int((abs(feet) * 96).quantize(Decimal(1), rounding=ROUND_HALF_UP))
    parts = ["", " 1/8", " 1/4", " 3/8", " 1/2", " 5/8", " 3/4", " 7/8"]
    sign = "−" if feet < 0 and count else ""
    return f"{sign}{count // 96}'-{count % 96 // 8}{parts[count % 8]}\""


def main(arguments):
    most = None
    if arguments[:1] == ["--most-pages"]:
        most, arguments = int(arguments[1]), arguments[2:]
    wrong, rows, sums = [], 0, 0
    for path in arguments:
        held = Held(path)
        wrong += held.all()
        rows, sums = rows + held.rows, sums + held.sums
        if most is not None and len(held.pages) > most:
            wrong.append(f"{path}: {len(held.pages)} pages, at most {most} are wanted")
    for words in wrong[:60]:
        print(words)
    if not rows:
        wrong.append("no row was found")
    print(f"paper: {len(arguments)} sets, {rows} rows add up, {sums} sums, {len(wrong)} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
