"""Each printed row of a cut sheet reckoned again from what is printed beside it, in decimals."""

import re
from decimal import ROUND_HALF_UP, Decimal

FIGURE = re.compile(r"−?\d+\.\d+$")
STATION = re.compile(r"(\d+)\+(\d\d(?:\.\d+)?)$")


class Cuts:
    """The cut sheets of a set."""

    def __init__(self, held):
        self.held, self.words, self.rows = held, held.words, 0
        # By sheet: what lies below the invert by the station it begins at, and station, invert and grade of each row.
        self.below, self.course, self.foot = {}, {}, {}

    def all(self):
        for number, texts in enumerate(self.held.pages):
            for head in sorted((t for t in texts if t.text == self.words["station"]), key=lambda t: (round(t.x, -1), t.y)):
                self.table(number, texts, head)
        for sheet, rows in self.course.items():
            self.falls(sheet, rows)

    def table(self, number, texts, station):
        """The rows below the heads of one piece of a cut sheet."""
        words, left = self.words, station.x
        beside = [t.x for t in texts if t.text == words["station"] and t.x > left + 20]
        edge = min(beside, default=1e9) - 8
        below = [t.y for t in texts if t.text == words["station"] and abs(t.x - left) < 1 and t.y > station.y + 1]
        foot = min(below, default=1e9)
        own = [t for t in texts if left - 6 <= t.x < edge and t.y < foot]
        heads = {t.text: t.right for t in own if abs(t.y - station.y) < 0.5}
        names = [t for t in own if self.held.is_cut_sheet(t) and t.y < station.y]
        if words["cut"] not in heads or not names:
            return
        name = max(names, key=lambda t: t.y)
        sheet = (name.text, number) if not self.held.runs_on(texts, name) else self.last_of(name.text)
        self.told(sheet, " ".join(t.text for t in own if name.y + 1 < t.y < station.y - 8))
        figures = [t for t in own if t.y > station.y + 1]
        for stake in (t for t in figures if abs(t.x - left) < 1 and STATION.match(t.text)):
            self.row(number, sheet, stake, heads, figures)
        said = re.search(words["check"], " ".join(t.text for t in figures))
        if said:
            self.foot[sheet] = tuple(decimal(figure) for figure in said.groups())

    def last_of(self, name):
        return max((sheet for sheet in self.course if sheet[0] == name), key=lambda sheet: sheet[1])

    def told(self, sheet, head):
        """Wall and bedding as the head of the sheet tells them: "0.03 ft, 0.04 ft from 2+00 up"."""
        self.course.setdefault(sheet, [])
        said = re.search(self.words["below"], head)
        if said:
            self.below[sheet] = {Decimal(figure) for figure in re.findall(r"(\d+\.\d+) (?:ft|m)\b", said[1])}

    def row(self, number, sheet, stake, heads, figures):
        words, say = self.words, lambda text: self.held.say(number, f"{sheet[0]}, {stake.text}: {text}")
        beside = [t for t in figures if abs(t.y - stake.y) < 6]
        text_at = lambda head: next((t.text for t in beside if heads.get(head) is not None and abs(t.right - heads[head]) < 1.0 and t.x > stake.x + 5), None)
        figure_at = lambda head: (lambda text: decimal(text) if text and FIGURE.match(text) else None)(text_at(head))
        cut, invert, bottom = (figure_at(words[what]) for what in ("cut", "invert", "bottom"))
        grade = text_at(words["grade"])
        self.course[sheet].append((station_of(stake.text), invert, grade_of(grade)))
        if cut is None:
            return
        self.rows += 1
        level = figure_at(words["hub level"]) if words["hub level"] in heads else figure_at(words["ground"])
        # A row without a hub is dug from the ground, whose level stands in the same column.
        if level is None or invert is None or level - invert != cut:
            say(f"{level} less {invert} is not {cut}")
        if bottom is None or bottom - cut not in self.below.get(sheet, ()):
            say(f"{cut} with wall and bedding of {sorted(self.below.get(sheet, ()))} is not {bottom}")
        ground, depth = figure_at(words["ground"]), figure_at(words["depth"])
        if depth is not None and ground is not None and ground - invert != depth:
            say(f"{ground} less {invert} is not {depth}")
        inches = text_at(words["inches"])
        if inches is not None and inches != eighths(cut):
            say(f"{cut} ft is {eighths(cut)}, not {inches}")
        places = {-figure.as_tuple().exponent for figure in (cut, level, invert, bottom, ground, depth) if figure is not None}
        if len(places) != 1:
            say(f"figures of one row with {places} decimals")

    def falls(self, sheet, rows):
        """From row to row the invert rises by grade and length, to the rounding of each; from the first to the last by what
        the foot of the sheet tells."""
        for (at, invert, grade), (next_at, next_invert, _) in zip(rows, rows[1:]):
            if None in (invert, next_invert, grade):
                continue
            length, place = next_at - at, Decimal(1).scaleb(invert.as_tuple().exponent)
            # Half of the last place of each level, of the grade in hundredths of a percent and of both stations in tenths.
            off = place + length * Decimal("0.00005") + Decimal("0.1") * abs(grade)
            if next_at <= at or abs(next_invert - invert - length * grade) > off:
                self.held.say(sheet[1], f"{sheet[0]}: from {at} at {invert} up {grade} to {next_at} is not {next_invert}")
        if rows and sheet in self.foot and None not in (rows[0][1], rows[-1][1]):
            if rows[-1][1] - rows[0][1] != self.foot[sheet][1]:
                self.held.say(sheet[1], f"{sheet[0]}: {rows[-1][1]} less {rows[0][1]} is not {self.foot[sheet][1]}")


def decimal(text):
    return Decimal(text.replace("−", "-"))


def station_of(text):
    hundreds, rest = STATION.match(text).groups()
    return Decimal(hundreds) * 100 + Decimal(rest)


def grade_of(text):
    """A share of the length, up positive; `None` where a row has none."""
    figure = re.match(r"(\d+\.\d+) % ([↑↓]|level)", text or "")
    return figure and Decimal(figure[1]) / 100 * {"↑": 1, "↓": -1}.get(figure[2], 0)


def eighths(feet):
    """Feet, inches and eighths of a figure in feet."""
    count = int((abs(feet) * 96).quantize(Decimal(1), rounding=ROUND_HALF_UP))
    parts = ["", " 1/8", " 1/4", " 3/8", " 1/2", " 5/8", " 3/4", " 7/8"]
    sign = "−" if feet < 0 and count else ""
    return f"{sign}{count // 96}'-{count % 96 // 8}{parts[count % 8]}\""
