#!/usr/bin/python3
"""The answer in a job folder is a page: short enough, and in an order that can be read aloud.

    check-answer.py JOB    the job folder, with answer.txt and answer.html

Text: what stands before "More to do" and what is folded fits one page, and whatever is open leads to steps that are
there. HTML: language, one first heading, no level of headings left out, every table with heads of columns and rows, a
text for every picture, no script, no address outside, no order of its own for the keyboard, the parts in the order of
their weight, each link's target there. Where a browser (chromium) is found, the page is printed on A4 and on Letter:
the first sheet holds the front whole, and is the only one where nothing is left over.
Prints what it held; exit 1 with a line for each fault."""
import html.parser
import os
import re
import shutil
import subprocess
import sys
import tempfile
from urllib.parse import unquote

LINES, WIDTH = 76, 110  # of a page in 8 points, on Letter
BEHIND = ("More to do", "All zones", "Wet film", "All files", "Why rows", "What was found", "Figures")
PARTS = ["Zones", "What to do", "What was taken in", "The report"]
VOID = {"meta", "img", "br"}
faults = []


def fault(text):
    faults.append(text)


class Page(html.parser.HTMLParser):
    """Elements that are open, headings, tables, links and pictures in the order in which they are read."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.headings, self.targets, self.read = [], [], [], ""
        self.language = None
        self.rows, self.heads = 0, 0

    def handle_starttag(self, tag, attrs):
        a = dict(attrs)
        if tag == "html":
            self.language = a.get("lang")
        if tag == "script" or any(k.startswith("on") for k in a):
            fault("a script: <%s>" % tag)
        if "tabindex" in a or "accesskey" in a:
            fault("an order of its own for the keyboard: <%s>" % tag)
        if tag == "img" and not (a.get("alt") or "").strip():
            fault("a picture without a text: %s" % a.get("src"))
        if tag == "tr":
            self.cells = []
        if tag in ("th", "td"):
            self.cells.append((tag, a.get("scope")))
        if re.fullmatch("h[1-6]", tag):
            self.headings.append([int(tag[1]), ""])
        if tag == "details":
            self.summary = False
        if tag == "summary":
            self.summary = True
        for key in ("href", "src"):
            if key in a:
                self.targets.append(a[key])
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        if not self.open or self.open[-1] != tag:
            fault("</%s> closes <%s>" % (tag, self.open[-1] if self.open else "nothing"))
        if tag in self.open:
            while self.open.pop() != tag:
                pass
        if tag == "tr":
            self.end_row()
        if tag == "details" and not self.summary:
            fault("a fold without words on it")

    def end_row(self):
        if "thead" in self.open:
            self.heads += 1
            if any(c != ("th", "col") for c in self.cells):
                fault("a head of a column that is not marked as one: %s" % self.cells)
        else:
            self.rows += 1
            if self.cells[0] != ("th", "row") or any(c[0] != "td" for c in self.cells[1:]):
                fault("a row whose head is not marked as one: %s" % self.cells)

    def handle_data(self, data):
        if "style" in self.open or "title" in self.open:
            return
        self.read += data
        if self.open and re.fullmatch("h[1-6]", self.open[-1]):
            self.headings[-1][1] += data


def check_steps(text):
    """Whatever is open leads to a step, and each step that is named is there."""
    numbers = {int(n) for n in re.findall(r"^ *(\d+)\. ", text, re.M)}
    for row in re.findall(r"^  .*?  (?:not shown|does not conform)  .*$", text, re.M):
        cells = re.split(r"  +", row.strip())
        named = [int(n) for n in re.findall(r"\d+", cells[2])] if len(cells) > 2 else []
        if not named:
            fault("answer.txt: open, and no step: %s" % row.strip())
        if set(named) - numbers:
            fault("answer.txt: a step that is not there: %s" % row.strip())


def check_text(text):
    check_steps(text)
    lines = text.split("\n")
    front = next((i for i, line in enumerate(lines) if line.endswith("----") and line.startswith(BEHIND)), len(lines))
    if front > LINES:
        fault("answer.txt: %d lines before what may follow, of %d" % (front, LINES))
    widest = max(len(line) for line in lines[:front])
    # lines to paste are never broken
    long_words = [line for line in lines if len(line) > WIDTH and " " in line[WIDTH - 40:WIDTH] and line[:8].strip()]
    if long_words:
        fault("answer.txt: a line of %d characters: %s" % (len(long_words[0]), long_words[0]))
    print("text: %d lines in front, the widest of %d characters" % (front, widest))


def check_structure(job, text):
    page = Page()
    page.feed(text)
    page.close()
    if page.open:
        fault("left open: %s" % page.open)
    if not page.language:
        fault("no language")
    levels = [h[0] for h in page.headings]
    if levels.count(1) != 1 or levels[:1] != [1]:
        fault("not one first heading: %s" % page.headings)
    for before, after in zip(levels, levels[1:]):
        if after > before + 1:
            fault("a level of headings is left out: %d after %d" % (after, before))
    names = [h[1] for h in page.headings]
    found = [names.index(part) if part in names else -1 for part in PARTS]
    if -1 in found or found != sorted(found):
        fault("parts out of order: %s" % names)
    first = page.read.find("The job ")
    if not 0 <= first < page.read.find(PARTS[0]):
        fault("the verdict is not read before the zones")
    if not page.heads or not page.rows:
        fault("no table")
    for target in page.targets:
        if re.match("[a-z]+:|//", target):
            fault("an address outside: %s" % target)
        elif not os.path.exists(os.path.join(job, unquote(target))):
            fault("a link to nothing: %s" % target)
    print("page: %d headings, %d rows, %d links" % (len(names), page.rows, len(page.targets)))


def printed_pages(browser, text, paper):
    with tempfile.TemporaryDirectory() as folder:
        source, out = os.path.join(folder, "page.html"), os.path.join(folder, "page.pdf")
        with open(source, "w", encoding="utf-8") as f:
            f.write(text.replace("@page { margin", "@page { size: %s; margin" % paper))
        subprocess.run([browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
                        "--user-data-dir=" + folder, "--print-to-pdf=" + out, "file://" + source],
                       stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=120, check=True)
        told = subprocess.run(["pdfinfo", out], stdout=subprocess.PIPE, check=True, text=True).stdout
        first = subprocess.run(["pdftotext", "-l", "1", out, "-"], stdout=subprocess.PIPE, check=True, text=True).stdout
        if "Relieve line pressure" not in " ".join(first.split()):
            fault("%s: what belongs on the first page runs over it" % paper)
        return int(re.search(r"Pages: *(\d+)", told).group(1))


def check_print(text):
    browser = shutil.which("chromium")
    if not browser or not shutil.which("pdftotext"):
        print("not printed: no chromium or no pdftotext here")
        return
    pages = {paper: printed_pages(browser, text, paper) for paper in ("A4", "letter")}
    print("printed: " + ", ".join("%d on %s" % (n, paper) for paper, n in pages.items()))
    if 'class="printed"' not in text and set(pages.values()) != {1}:
        fault("the page says that nothing is left over and prints on %s" % pages)


def main():
    job = sys.argv[1]
    with open(os.path.join(job, "answer.txt"), encoding="utf-8") as f:
        check_text(f.read())
    with open(os.path.join(job, "answer.html"), encoding="utf-8") as f:
        text = f.read()
    check_structure(job, text)
    if not faults:
        check_print(text)
    for line in faults:
        print(line)
    return 1 if faults else 0


sys.exit(main())
