"""Each sum of the tables of a set reckoned again from what is printed above it, in decimals."""

import re
from decimal import Decimal

from paper_cuts import STATION, decimal

AMOUNT = re.compile(r"\d\.\d\d$")


class Sums:
    """The tables of a set."""

    def __init__(self, held):
        self.held, self.words, self.count = held, held.words, 0

    def all(self):
        self.costs()
        self.lengths = self.by_line()
        self.cuttings()
        self.protected()
        self.same_length()

    def said(self, number, holds, words):
        self.count += 1
        if not holds:
            self.held.say(number, words)

    def costs(self):
        """Amounts make up material and work, and those the total; each is what is bought times its price."""
        words = self.words
        for number, texts in enumerate(self.held.pages):
            amount = next((t for t in texts if t.text == words["amount"]), None)
            sums = {t.text: t.y for t in texts if t.text in (words["material"], words["work"], words["total"])}
            if amount is None or len(sums) != 3:
                continue
            on_right = lambda y: next((money(t.text) for t in texts if abs(t.y - y) < 1 and AMOUNT.search(t.text) and t.right > amount.right - 3), None)
            rows = [t for t in texts if abs(t.right - amount.right) < 1.5 and amount.y < t.y < sums[words["material"]] - 2 and AMOUNT.search(t.text)]
            amounts = [money(t.text) for t in rows]
            material, work, total = (on_right(sums[words[what]]) for what in ("material", "work", "total"))
            self.said(number, material + work == total == sum(amounts), f"{sum(amounts)} in all, {material} and {work} are {total}")
            self.priced(number, texts, rows)

    def priced(self, number, texts, rows):
        heads = {t.text: t.right for t in texts}
        for row in rows:
            beside = lambda head: next((t.text for t in texts if abs(t.y - row.y) < 1 and abs(t.right - heads[self.words[head]]) < 1.5), None)
            bought, price = beside("bought"), beside("price")
            if bought and price:
                wanted = (first_number(bought) * first_number(price)).quantize(Decimal("0.01"), "ROUND_HALF_UP")
                self.said(number, wanted == money(row.text), f"{bought} at {price} is not {row.text}")

    def by_line(self):
        """What each line costs makes up all lines, column by column, and with the rows below the estimate. Answers the length
        of all lines."""
        words, lines, all_lines, rest, heads = self.words, [], None, [], None
        for number, texts in enumerate(self.held.pages):
            head = next((t for t in texts if t.text == words["together"] and any(o.text == words["line"] and abs(o.y - t.y) < 9 for o in texts)), None)
            if head is None or not any(t.text == words["length"] and abs(t.y - head.y) < 0.5 for t in texts):
                continue
            for y in sorted({round(t.y, 1) for t in texts if abs(t.right - head.right) < 1.5 and t.y > head.y + 1 and AMOUNT.search(t.text)}):
                cells = [t.text for t in sorted((t for t in texts if abs(t.y - y) < 0.6), key=lambda t: t.x)]
                if cells[0] == words["all lines"]:
                    all_lines = cells
                elif len(cells) == 8:
                    lines.append(cells)
                else:
                    rest.append(cells[-1])
            heads = number
        if all_lines is None:
            self.held.say(0, "no costs by line")
            return None
        for column in (2, 3, 4, 6, 7):
            found = sum(money(cells[column]) for cells in lines)
            self.said(heads, found == money(all_lines[column]), f"column {column} by line is {found}, not {all_lines[column]}")
        for cells in [*lines, all_lines]:
            found = sum(money(cells[k]) for k in (2, 3, 4, 6))
            self.said(heads, found == money(cells[7]), f"{cells[0]} is {found}, not {cells[7]}")
        found = money(all_lines[7]) + sum(money(text) for text in rest[:-1])
        self.said(heads, found == money(rest[-1]), f"all lines and what is beside them are {found}, not {rest[-1]}")
        for column in (1, 5):
            self.about(heads, [first_number(cells[column]) for cells in lines], all_lines[column])
        return all_lines[1]

    def about(self, number, parts, told):
        """Figures that are rounded each for itself make up their sum to half of the last place of each."""
        whole = first_number(told)
        half = Decimal(1).scaleb(whole.as_tuple().exponent) / 2
        self.said(number, abs(sum(parts) - whole) <= half * (len(parts) + 1), f"{sum(parts)} is not {told}")

    def cuttings(self):
        """Cuts make up the rolls less what is left over, to the rounding of each."""
        words = self.words
        cutting, parts = None, []
        for number, texts in enumerate(self.held.pages):
            for text in sorted(texts, key=lambda t: (round(t.y), t.x)):
                if text.text.startswith(words["cutting"]):
                    self.cut(cutting, parts)
                    near = " ".join(t.text for t in texts if text.y < t.y < text.y + 40)
                    cutting, parts = (number, re.search(words["rolls"], near)), []
                elif text.text == words["bands"]:
                    self.cut(cutting, parts)
                    cutting, parts = None, []
                elif cutting and STATION.match(text.text):
                    right = min((t for t in texts if abs(t.y - text.y) < 0.5 and t.x > text.x), key=lambda t: t.x)
                    parts.append(first_number(right.text))
        self.cut(cutting, parts)

    def cut(self, cutting, parts):
        if cutting is None:
            return
        number, said = cutting
        rolls, each, left = (Decimal(figure) for figure in said.groups())
        half = Decimal("0.5") if parts[0] == parts[0].to_integral() else Decimal("0.05")
        off = abs(rolls * each - left - sum(parts))
        self.said(number, off <= half * (len(parts) + 1) + rolls * Decimal("0.05"), f"{rolls} of {each} less {left} are not {sum(parts)}")

    def protected(self):
        """Stretches of trench to be protected make up their sum."""
        for number, texts in enumerate(self.held.pages):
            last = next((t for t in texts if t.text == self.words["sum"]), None)
            head = next((t for t in texts if t.text == self.words["protected"]), None)
            if last is None or head is None:
                continue
            length = next(t for t in texts if t.text == self.words["stretch"] and abs(t.y - head.y) < 0.5)
            column = [t for t in texts if abs(t.right - length.right) < 1.5 and head.y < t.y < last.y - 1]
            told = next(t.text for t in texts if abs(t.y - last.y) < 0.5 and abs(t.right - length.right) < 1.5)
            self.about(number, [first_number(t.text) for t in column], told)

    def same_length(self):
        """The design table names the same length of new line as the costs."""
        for number, texts in enumerate(self.held.pages):
            for row in (t for t in texts if re.match(self.words["new lines"], t.text)):
                told = min((t for t in texts if abs(t.y - row.y) < 0.5 and t.x > row.x), key=lambda t: t.x)
                self.said(number, told.text == self.lengths, f"{told.text} of new line, by the costs {self.lengths}")


def money(text):
    return decimal(re.sub(r"[^\d.−-]", "", text))


def first_number(text):
    """The first number of a text, without what separates thousands."""
    return decimal(re.search(r"−?\d+(?:\.\d+)?", text.replace(",", ""))[0])
