"""The lessons in a real browser, with the real program: `lesson_page.py PROGRAM WORK`.

Looked at: steps by button and key, what is said to each, right and wrong answers, choice of soil, that the frames are the
program's own, script off, sizes of targets, contrast, width, light and dark, large type."""

import re
import subprocess
import sys
from pathlib import Path

from browser import LOOK, Browser

PROGRAM, WORK = (Path(arg).resolve() for arg in sys.argv[1:3])
SIZES = [(320, 568), (360, 740), (740, 360), (1280, 800)]
LESSONS = ["Where water goes", "Under the ground", "What grade does"]


def written(name, *args):
    done = subprocess.run([PROGRAM, "lesson", "-o", name, *args], capture_output=True, text=True, cwd=WORK)
    assert done.returncode == 0, done.stdout + done.stderr
    return WORK / name


def of(k):
    return f"//section[@id='lesson-{k}']"


def said(browser, k):
    """The words under the picture of a lesson that are seen."""
    return browser.run(
        """const seen = Array.from(document.querySelectorAll(`#lesson-${arguments[0]} figcaption p`)).filter((p) => p.offsetHeight);
        return seen.map((p) => p.textContent);""", k)


def frames(browser, k):
    """Which frames of a lesson's picture are drawn."""
    return browser.run(
        """return Array.from(document.querySelectorAll(`#lesson-${arguments[0]} .show.now svg [data-at]`))
        .filter((g) => getComputedStyle(g).display !== "none").map((g) => Number(g.dataset.at));""", k)


def steps_are_gone_through(page):
    browser = Browser(WORK)
    browser.open(page.as_uri())
    assert browser.run("return document.querySelectorAll('.lesson').length") == 3
    for k in (1, 2, 3):
        last = int(browser.run("return document.querySelector(`#lesson-${arguments[0]} .show`).dataset.steps", k))
        assert frames(browser, k) == [0] and len(said(browser, k)) == 1, (k, frames(browser, k), said(browser, k))
        for step in range(1, last + 1):
            browser.click(f"{of(k)}//button[.='Next']")
            assert frames(browser, k) == [step], (k, step, frames(browser, k))
        assert browser.run("return document.querySelector(`#lesson-${arguments[0]} .most`).disabled", k)
        browser.click(f"{of(k)}//button[.='Back']")
        assert frames(browser, k) == [last - 1]
    browser.run("document.getElementById('lesson-2').scrollIntoView()")
    key = "document.dispatchEvent(new KeyboardEvent('keydown', {key: arguments[0]}))"
    before = frames(browser, 2)[0]
    browser.run(key, "ArrowLeft")
    browser.run(key, "ArrowLeft")
    browser.run(key, "ArrowRight")
    assert frames(browser, 2) == [before - 1]
    assert not browser.complaints()
    browser.close()
    print("lessons: every step is seen, by button and by key")


def frames_are_the_programs(page):
    """The depth that is said to a day is the one in the table, and the arch is drawn lower each day."""
    browser = Browser(WORK)
    browser.open(page.as_uri())
    table = browser.run(
        "return Array.from(document.querySelectorAll('#lesson-2 tbody tr'), (row) => Array.from(row.cells, (cell) => cell.textContent))")
    assert len(table) == 6, table
    for row, name in enumerate(browser.run("return Array.from(document.querySelectorAll('#lesson-2 option'), (o) => o.textContent)")):
        assert table[row][0] in name and table[row][1] in name, (table[row], name)
        browser.click(f"//select/option[{row + 1}]")
        while frames(browser, 2) != [0]:
            browser.click(f"{of(2)}//button[.='Back']")
        tops = []
        for step in range(1, 7):
            browser.click(f"{of(2)}//button[.='Next']")
            deep = re.search(r"stands ([0-9.]+)", said(browser, 2)[0]).group(1)
            if step in (1, 2, 4, 6):
                assert deep == table[row][2 + (1, 2, 4, 6).index(step)], (name, step, deep, table[row])
            tops.append(browser.run(
                """const g = Array.from(document.querySelectorAll("#lesson-2 .show.now svg [data-at]")).find((g) => getComputedStyle(g).display !== "none");
                return g.querySelector(".table").getBBox().y;"""))
        assert tops == sorted(tops) and tops[0] < tops[-1], (name, tops)
    browser.close()
    print("lessons: six settings, each day at the depth of the table, the arch lower each day")


def answers_are_told(page):
    browser = Browser(WORK)
    browser.open(page.as_uri())
    for k in (1, 2, 3):
        right = browser.run("return document.querySelector(`#lesson-${arguments[0]} li[data-right] button`).textContent", k)
        wrong = browser.run("return document.querySelector(`#lesson-${arguments[0]} .answers li:not([data-right]) button`).textContent", k)
        shown = "return Array.from(document.querySelectorAll(`#lesson-${arguments[0]} .why`)).filter((w) => w.offsetHeight).map((w) => w.textContent)"
        assert browser.run(shown, k) == []
        browser.click(f"{of(k)}//button[.=\"{wrong}\"]")
        assert browser.run(shown, k)[0].startswith("No: ")
        browser.click(f"{of(k)}//button[.=\"{right}\"]")
        told = browser.run(shown, k)
        assert len(told) == 1 and told[0].startswith("Right: "), told
        browser.click(f"{of(k)}//details[1]/summary")
        assert browser.text(f"{of(k)}//details[1]/p[@class='comes']")
    browser.close()
    print("lessons: right and wrong are told; answers open")


def read_without_script(page):
    browser = Browser(WORK, script=False)
    browser.open(page.as_uri())
    words = browser.text("//body")
    for told in LESSONS + ["Right: ", "0.233 cfs", "clay loam", "Locate utilities first"]:
        assert told in words, told
    for k in (1, 2, 3):
        assert "stands" in words and browser.text(f"{of(k)}//figcaption"), k
    browser.picture(WORK / "lessons-without-script.png")
    browser.close()
    print("lessons: read without script")


def looks_well(page):
    for dark in (False, True):
        browser = Browser(WORK, dark=dark)
        for size in SIZES:
            browser.resize(*size)
            browser.open(page.as_uri())
            for large in (False, True):
                if large:
                    browser.press("Large type")
                looked = browser.run(LOOK)
                assert looked["wide"] <= size[0], (size, large, looked["wide"])
                assert not looked["small"], (size, large, looked["small"])
                assert not looked["faint"], (size, large, looked["faint"])
        for size in ((360, 740), (1280, 800)):
            browser.resize(*size)
            browser.open(page.as_uri())
            for k in (1, 2, 3):
                for _ in range(3):
                    browser.click(f"{of(k)}//button[.='Next']")
                browser.run("document.querySelector(`#lesson-${arguments[0]} .shows`).scrollIntoView({block: 'center'})", k)
                browser.picture(WORK / f"lesson-{k}-{size[0]}-{'dark' if dark else 'light'}.png")
        assert not browser.complaints()
        browser.close()
    print("lessons: nothing too wide, too small or too faint at", ", ".join(f"{w} x {h}" for w, h in SIZES))


page = written("lessons.html")
steps_are_gone_through(page)
frames_are_the_programs(page)
frames_are_the_programs(written("metric.html", "--metric"))
answers_are_told(page)
read_without_script(page)
looks_well(page)
