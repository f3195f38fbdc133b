"""Makes the sheets of every demo field in both units, on every paper and in every state a set may be in, in English, and in
Spanish wherever words of another length may not fit; and holds the rules of paper_rules.py over them. Run by tests/paper.sh.
    python paper_sets.py PROGRAM FOLDER-WITH-PLANS
"""
import copy
import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from multiprocessing import Pool
from pathlib import Path

import paper_rules
from paper_words import WORDS

FIELDS = ("larkmoor-bench", "saltern-flat", "fernholt-piece")
UNITS = ("feet", "metric")
PAPERS = ("letter", "tabloid", "a4", "a3")
SIGNED = ["--by", "A. Marsh", "--on", "2031-04-02", "--because", "as found"]


class Plan:
    """A plan file that is changed and written again."""

    def __init__(self, path):
        self.path, self.file = path, json.loads(path.read_text())
        self.plan = self.file["plan"]

    def beside(self, name, change):
        """The same under another name, changed."""
        other = copy.copy(self)
        other.file = copy.deepcopy(self.file)
        other.plan = other.file["plan"]
        other.path = self.path.with_name(f"{name}.drain")
        change(other.plan)
        other.path.write_text(json.dumps(other.file, ensure_ascii=False, indent=2))
        return other


def states(program, source, units):
    """The states of a field's plan with the set they are in: a draft; revision B, which tells what it changed; revision A once
    B has replaced it; and a plan that differs from revision A. The sheets of an issue are a set of their own."""

    def draft(plan):
        plan["title"]["units"] = units
        plan["revisions"] = []

    def deeper(plan):
        plan["criteria"]["bedding_m"] = 0.07

    name = f"{source.path.stem}-{units}"
    first = source.beside(f"{name}-draft", draft)
    issued_a = first.beside(f"{name}-a", lambda plan: None)
    issue(program, issued_a)
    differs = Plan(issued_a.path).beside(f"{name}-differs", deeper)
    issued_b = differs.beside(f"{name}-b", lambda plan: None)
    issue(program, issued_b)
    both = Plan(issued_b.path).plan["revisions"]
    replaced = Plan(issued_a.path).beside(f"{name}-replaced", lambda plan: plan.update(revisions=both))
    return {"DRAFT, not issued": first, "Revision B": issued_b, "REVISION A IS OUT OF DATE": replaced, "Differs from revision A": differs}


def issue(program, plan):
    made(program, plan, plan.path.with_suffix(".issue.pdf"), "--issue", "--all-the-same", *SIGNED)


def made(program, plan, pdf, *options):
    subprocess.run([program, "sheets", plan.path, "-o", pdf, *options], check=True, stdout=subprocess.DEVNULL)
    return pdf


def odd(plan):
    """Long names with quotes and signs of many scripts."""
    plan["title"]["name"] = "Äcker \"Süd\" × 6″, Поле; between the old mill race and the railway embankment, eastern half"
    for line in plan["lines"].values():
        line["name"] += ' "Nord" ½, behind the long barn'


def papers(language, units, says):
    """On which papers a set is looked at. The warning of what was replaced is the longest; what was issued is printed on the papers
    of its units, and a plan that differs looks like one that was replaced, but for what changed. In Spanish only the first page
    and the cut sheets are others."""
    own = PAPERS[:2] if units == "feet" else PAPERS[2:]
    if says == "DRAFT, not issued":
        return PAPERS if language == "en" else {"feet": ("letter", "a4"), "metric": ("a4", "a3")}[units]
    if language == "en":
        return {"Revision B": own, "Differs from revision A": own[:1]}.get(says, PAPERS)
    return own[:1]


def sets(program, work):
    """Every set: its file, what its pages must say, and its language."""
    jobs = []
    with ThreadPoolExecutor(2) as pool:
        fields = [(Plan(work / f"{name}.drain"), units) for name in FIELDS for units in UNITS]
        for (_, units), found in zip(fields, pool.map(lambda field: states(program, *field), fields)):
            jobs += [(plan, says, paper, language, []) for says, plan in found.items() for language in WORDS for paper in papers(language, units, says)]
        for units in UNITS:
            named = Plan(work / f"larkmoor-bench-{units}-draft.drain").beside(f"odd-{units}", odd)
            rods = ["--instrument", "80m", "--rod", "60m"]
            jobs += [(named, "DRAFT, not issued", paper, language, rods) for paper, language in (("letter", "en"), ("a4", "en"), ("a4", "es"))]

        def make(job):
            plan, says, paper, language, options = job
            pdf = plan.path.with_name(f"{plan.path.stem}-{paper}-{language}.pdf")
            return made(program, plan, pdf, "--paper", paper, "--language", language, *options), says, language

        yield from pool.map(make, jobs)


def hold(path, says, language):
    wrong, *counts = paper_rules.held([path], language)
    if not paper_rules.says(path, says, language):
        wrong.append(f"{path}: does not say '{says}'")
    return language, wrong, counts


def main(program, work):
    with Pool(2) as pool:
        held = [pool.apply_async(hold, job) for job in sets(program, work)]
        results = [one.get() for one in held]
    for words in [words for _, some, _ in results for words in some][:60]:
        print(words)
    for language in WORDS:
        own = [(wrong, counts) for of, wrong, counts in results if of == language]
        rows, sums, pages = (sum(counts[i] for _, counts in own) for i in range(3))
        wrong = sum(len(wrong) for wrong, _ in own)
        print(f"paper, {language}: {len(own)} sets, {pages} pages, {rows} rows add up, {sums} sums, {wrong} wrong")
    return 1 if any(wrong for _, wrong, _ in results) else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve()))
