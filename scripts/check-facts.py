#!/usr/bin/python3
"""One fact, one figure: walks the outputs of a report and compares each fact that several of them tell.

    check-facts.py JOB                      the job folder, with reports/latest and answer.txt
    check-facts.py --seeded MILRISE N SEED  reports on N jobs: of every other one a file is gone, its limits, units, paper
                                            or rules are others, or it is one of the seeded jobs of recalculate.py

Outputs: report.json (its own fields, and its tables), the workbook (values as stored: sheets and defined names), answer.txt,
the submittal and the figures as text. Facts: outcome of the job and of each zone, zones by outcome, number of findings and
their words, mean and least of each film, number of readings, rise of each coat, the register, each check with its limits and
evidence, what captions say in words, the revision, the account of each input. Says how many places of each
fact were compared; a fact that was compared nowhere is a fault of this check. Exit: 0; 1 with what differs; 77 where a
program is missing.
"""
import csv
import glob
import html
import html.parser
import json
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import zipfile

SAMPLE = "sample-data/alder-ford-footbridge"
wrong, compared = [], {}


def same(fact, where, a, b):
    compared[fact] = compared.get(fact, 0) + 1
    if isinstance(a, float) or isinstance(b, float):
        good = a is not None and b is not None and abs(float(a) - float(b)) <= 1e-9 * max(1.0, abs(float(b)))
    else:
        good = a == b
    if not good:
        wrong.append("%s, %s: %r, in report.json %r" % (fact, where, a, b))


def holds(fact, where, text, part):
    compared[fact] = compared.get(fact, 0) + 1
    if re.sub(r"\s+", "", part) not in text:
        wrong.append("%s, %s: %r is not there" % (fact, where, part))


def squeezed(pdf):
    return re.sub(r"\s+", "", subprocess.run(["pdftotext", "-raw", pdf, "-"], capture_output=True, text=True).stdout)


class Book:
    def __init__(self, path):
        import openpyxl
        self.book = openpyxl.load_workbook(path, data_only=True)
        names = self.book.defined_names
        pairs = names.items() if hasattr(names, "items") else [(d.name, d) for d in names.definedName]
        self.names = {name: d.attr_text for name, d in pairs}

    def named(self, name):
        if name not in self.names:
            return None
        sheet, cell = self.names[name].rsplit("!", 1)
        return self.book[sheet.strip("'")][cell.replace("$", "")].value

    def rows(self, sheet, first):
        """Rows below the head, which begins with the word first, as dictionaries by title without its unit."""
        if sheet not in self.book.sheetnames:
            return []
        head, out = None, []
        for row in self.book[sheet].iter_rows(values_only=True):
            if head and row[0] is not None:
                out.append(dict(zip(head, row)))
            elif head and out:
                break
            elif row[0] == first:
                head = [re.sub(r" \(UTC.*\)$", "", str(c)) if c else "" for c in row]
        return out


def table(report, ident):
    for t in report["tables"]:
        if t["id"] == ident and t["rows_given"]:
            keys = [f["key"] for f in t["fields"]]
            return [dict(zip(keys, row)) for row in t["rows"]], {f["key"]: f for f in t["fields"]}
    return [], {}


def slug(name):
    text = re.sub(r"[^a-z0-9]+", "-", name.lower())[:48].strip("-")
    return text.replace("-", "_")


def check_outcomes(report, book, answer, pdf):
    outcome, zones = report["outcome"], report["zones"]
    rows, _ = table(report, "zones")
    same("outcome of the job", "table of zones", rows[-1]["outcome"], outcome)
    same("outcome of the job", "defined name", book.named("job_outcome"), outcome)
    same("outcome of the job", "sign-off", {r[0]: r[1] for r in book.book["Sign-off"].iter_rows(values_only=True)}.get(
        "Outcome of the job"), outcome)
    holds("outcome of the job", "submittal", pdf, "Outcome of the job: " + outcome)
    lead = {"does not conform": "The job does not conform.", "conforms": "The job conforms.",
            "not shown": "The job is not shown to conform."}.get(outcome, "The job asks for nothing")
    holds("outcome of the job", "answer", re.sub(r"\s+", "", answer), lead)
    count = {word: sum(z["outcome"] == word for z in zones) for word in report["zones_by_outcome"]}
    for word, n in count.items():
        same("zones by outcome", "zones of report.json: " + word, n, report["zones_by_outcome"][word])
    words = "%d %s: %d %s, %d %s, %d not shown" % (
        len(zones), "zone" if len(zones) == 1 else "zones", count["conforms"],
        "conforms" if count["conforms"] == 1 else "conform", count["does not conform"],
        "does not conform" if count["does not conform"] == 1 else "do not conform", count["not shown"])
    holds("zones by outcome", "answer", re.sub(r"\s+", "", answer), words)
    holds("zones by outcome", "submittal", pdf, words)
    holds("zones by outcome", "verdict sheet", re.sub(r"\s+", "", " ".join(
        str(c) for r in book.book["Verdict"].iter_rows(values_only=True) for c in r if c)), words)
    verdict = {r["Zone"]: r for r in book.rows("Verdict", "Zone")}
    for z, row in zip(zones, rows):
        name = z["name"]
        same("outcome of a zone", "table of zones: " + name, row["outcome"], z["outcome"])
        same("outcome of a zone", "verdict sheet: " + name, verdict.get(name, {}).get("Outcome"), z["outcome"])
        same("outcome of a zone", "defined name: " + name, book.named("outcome_" + slug(name)), z["outcome"])
        holds("outcome of a zone", "submittal: " + name, pdf, name + z["outcome"])
        holds("outcome of a zone", "answer: " + name, re.sub(r"\s+", "", answer), name + z["outcome"])


def check_findings(report, book, pdf):
    n = len(report["findings"])
    rows = book.rows("Findings", "No.")
    same("number of findings", "sheet", len(rows), n)
    holds("number of findings", "submittal", pdf, "%d %s." % (n, "finding" if n == 1 else "findings"))
    for i, (f, row) in enumerate(zip(report["findings"], rows)):
        same("words of a finding", "sheet: %d" % (i + 1), row["What"], f["what"])
        same("words of a finding", "sheet, severity: %d" % (i + 1), row["Severity"], f["gravity"])
        holds("words of a finding", "submittal: %d" % (i + 1), pdf,
              "%d. %s: %s" % (i + 1, f["gravity"], f["zone"] or "whole job"))
    entries, _ = table(report, "non-conformances")
    same("register", "sheet", len(book.rows("Non-conformances", "Number")), len(entries))
    for e in entries:
        holds("register", "submittal", pdf, e["number"] + e["what"][:20])


def check_film(report, book, pdf, charts):
    rows, _ = table(report, "thickness-summary")
    for z in report["zones"]:
        name, film = z["name"], z["film"]
        row = next((r for r in rows if r["zone"] == name and r["coat"] == "system"), None)
        if not film or film["mean_um"] is None or not row:
            continue
        key = "mil" if "mean_mil" in row else "um"
        scale, digits = (25.4, 2) if key == "mil" else (1.0, 1)
        for what, fact, title in (("mean", "mean_film_", "mean of a film"), ("min", "least_film_", "least of a film")):
            same(title, "table: " + name, row["%s_%s" % (what, key)], film[what + "_um"] / scale)
            same(title, "defined name: " + name, book.named(fact + slug(name)), film[what + "_um"] / scale)
            holds(title, "submittal: " + name, pdf, "%.*f" % (digits, film[what + "_um"] / scale))
        same("readings of a film", "table: " + name, row["readings"], film["readings"])
        same("readings of a film", "defined name: " + name, book.named("readings_" + slug(name)), film["readings"])
        figure = charts.get("thickness-" + slug(name).replace("_", "-"))
        if figure:
            shown = digits if key == "mil" else 0
            holds("mean of a film", "figure: " + name, figure, "%.*f" % (shown, film["mean_um"] / scale))


def check_rise(report, book, pdf, charts):
    rows, fields = table(report, "heat-by-coat")
    sheet = book.rows("Heat by coat", "Zone")
    same("rise of a coat", "rows of the sheet", len(sheet), len(rows))
    for row, cells in zip(rows, sheet):
        if row["rise"] is None:
            continue
        name = "%s, coat %s" % (row["zone"], row["coat"])
        title = next(t for t in cells if t.startswith("Rise, raw"))
        same("rise of a coat", "sheet: " + name, cells[title], row["rise"])
        holds("rise of a coat", "submittal: " + name, pdf, "%.2f" % row["rise"])
        figure = charts.get("reaction-%s-coat-%s" % (slug(row["zone"]).replace("_", "-"), row["coat"]))
        if figure and row["outcome"] in ("conforms", "does not conform"):
            fine = "%.2f" % row["rise"] in figure  # where its uncertainty is small
            holds("rise of a coat", "figure: " + name, figure, "%.*f" % (2 if fine else 1, row["rise"]))


def target(book, cell):
    sheet, place = re.fullmatch(r"'(.+)'!([A-Z]+[0-9]+)", cell.hyperlink.location).groups()
    return book[sheet], book[sheet][place].row


def check_walk(book, job):
    """The README's walk on the sample: from the verdict by the workbook's own links to a line of a file."""
    with open("README.md", encoding="utf-8") as f:
        readme = f.read()
    zone, check = "Girder 2 outer web", "Area minimum"
    row = next((r for r in book["Verdict"].iter_rows() if r[0].value == zone and r[0].hyperlink), None)
    if not row:
        return
    holds("walk", "README", re.sub(r"\s+", "", readme), zone + " does not conform")
    same("walk", "verdict", row[1].value, "does not conform")
    page, at = target(book, row[0])
    same("walk", "zone's page", page.cell(at, 1).value, zone)
    row = next(r for r in page.iter_rows(min_row=at, max_row=at + 40) if r[0].value == check)
    measured = row[3].value
    checks, at = target(book, row[7])
    same("walk", "row of the checks", [checks.cell(at, c).value for c in (1, 3, 6)], [zone, check, measured])
    evidence = checks.cell(at, 12).value.split(" (")[0]
    holds("walk", "README", re.sub(r"\s+", "", readme), evidence)
    limits, at = target(book, checks.cell(at, 3))
    head = next(r for r in limits.iter_rows(min_row=1, max_row=12) if r[0].value == "Zone")
    worst = next(c.column for c in head if str(c.value).startswith("Worst value"))
    same("walk", "row of the limits", [limits.cell(at, 1).value, limits.cell(at, worst).value], [zone, measured])
    path, lines = evidence.rsplit(":", 1)
    first, last = (int(n) for n in lines.split("-"))
    rows = [r for r in book["Gauge readings"].iter_rows(values_only=True) if path in r and r[0] == zone]
    with open(os.path.join(job, path), encoding="utf-8", newline="") as f:
        text = f.read().split("\n")
    met = [r for r in rows if first <= r[r.index(path) + 1] <= last]
    same("walk", "readings behind it", len(met), last - first + 1)
    for r in met:
        holds("walk", "line %d" % r[r.index(path) + 1], text[r[r.index(path) + 1] - 1], "%.2f" % r[4])


def check_evidence(report, book, job):
    """Each check and finding has a place, and the place is there: a file of the job with as many lines."""
    lines = {}

    def check(what, evidence):
        same("evidence", what, bool(evidence), True)
        for e in evidence:
            path = os.path.join(job, e["file"].split(" (table ")[0])
            if path not in lines:
                try:
                    with open(path, "rb") as f:
                        lines[path] = f.read().count(b"\n") + 1
                except OSError:
                    lines[path] = 0
            whole = e["line"] == 0 and lines[path]  # the file as a whole
            if not whole and not 1 <= (e["line"] or 0) <= (e["line_end"] or e["line"]) <= lines[path]:
                wrong.append("evidence of %s: %s:%s-%s is no place, %d lines" % (
                    what, e["file"], e["line"], e["line_end"], lines[path]))

    checks = [c for z in report["zones"] for c in z["checks"]] + report["checks"]
    for c in checks:
        check("check %s of %s" % (c["title"], c["zone"]), c["evidence"])
    for f in report["findings"]:
        check("finding: " + f["what"], f["evidence"])
    rows = book.rows("Checks", "Zone")
    same("checks", "rows of the sheet", len(rows), len(checks))
    for c, row in zip(checks, rows):
        what = "%s of %s" % (c["title"], c["zone"])
        same("checks", "outcome of " + what, row["Outcome"], c["outcome"])
        same("checks", "measured of " + what, row["Measured"] if c["measured"] is not None else None, c["measured"])
        same("limits", "at least of " + what, row["At least"] if c["limit_low"] is not None else None, c["limit_low"])
        same("limits", "at most of " + what, row["At most"] if c["limit_high"] is not None else None, c["limit_high"])
        evidence = c["evidence"][0] if c["evidence"] else {"file": "?"}
        same("evidence", "sheet: " + what, evidence["file"] in str(row["Evidence: file and lines"]), True)


def caption_texts(path):
    """Alternative texts of the workbook's pictures and the words in the cells around them."""
    with zipfile.ZipFile(path) as z:
        drawings = "".join(z.read(n).decode() for n in z.namelist() if n.startswith("xl/drawings/drawing"))
    return [html.unescape(t) for t in re.findall(r'descr="([^"]*)"', drawings)]


def check_captions(report, book, path, latest):
    """What the figures say in words: in the workbook, and in the SVG files for those who cannot see them."""
    words = caption_texts(path)
    titles = {}
    for svg in glob.glob(latest + "/charts/*.svg"):
        with open(svg, encoding="utf-8") as f:
            found = re.search(r"<desc[^>]*>(.*?)</desc>", f.read(), re.S)
        titles[os.path.basename(svg)[:-4]] = html.unescape(found.group(1)) if found else ""
    summary = {r["zone"]: r for r in table(report, "thickness-summary")[0] if r["coat"] == "system"}
    for z in report["zones"]:
        row = summary.get(z["name"])
        text = titles.get("thickness-" + slug(z["name"]).replace("_", "-"))
        if text and row:
            holds("captions", "film of " + z["name"], re.sub(r"\s+", "", text),
                  "Histogram of %d gauge readings and %d spot means of %s" % (row["readings"], row["spots"], z["name"]))
            same("captions", "film of %s in the workbook" % z["name"], any(w[:200] == text[:200] for w in words), True)
        text = titles.get("spots-" + slug(z["name"]).replace("_", "-"))
        if text:
            holds("captions", "spots of " + z["name"], re.sub(r"\s+", "", text),
                  "thickness %s." % z["outcomes"]["thickness"])
    for stem, text in titles.items():
        if stem.startswith("verdicts"):
            holds("captions", stem, re.sub(r"\s+", "", text), "Job: %s; zones: " % report["outcome"])
            for word, n in report["zones_by_outcome"].items():
                if n:
                    holds("captions", stem, re.sub(r"\s+", "", text), "%s: %d" % (word, n))
        found = re.search(r"with ([0-9]+) entries, ([0-9]+) of which", text)
        if stem.startswith("shift-timeline-") and found:
            rows = [r for r in table(report, "shift-timeline")[0] if stem[15:25] in str(r["shift"])]
            same("captions", stem, [int(n) for n in found.groups()], [
                len(rows), sum(r["outcome"] in ("does not conform", "not shown") for r in rows)])
    events = [re.search(r"events that do not conform: ([0-9]+)", t) for s, t in titles.items() if s.startswith("lines-")]
    same("captions", "events of the lines", sum(int(e.group(1)) for e in events if e), len(table(report, "line-events")[0]))


def check_revision(report, book, latest, answer, pdf, path):
    n = report["revision"]
    same("revision", "folder", os.path.basename(os.path.realpath(latest)), "revision-%d" % n)
    facts = {r[0]: r[1] for r in book.book["Verdict"].iter_rows(max_row=16, values_only=True)}
    same("revision", "verdict sheet", str(facts.get("Revision")), str(n))
    same("revision", "properties of the workbook", "revision %d;" % n in book.book.properties.description, True)
    for sheet in book.book.worksheets:
        same("revision", "footer of " + sheet.title, "revision %d" % n in (sheet.oddFooter.left.text or ""), True)
    holds("revision", "answer", re.sub(r"\s+", "", answer), "revision %d, from" % n)
    holds("revision", "submittal", pdf, "revision %d" % n)
    for figure in report["figures"]:
        svg = "%s/charts/%s.svg" % (latest, figure["stem"])
        same("revision", os.path.basename(svg), 0 <= figure["since_revision"] <= n, True)
        with open(svg, encoding="utf-8") as f:
            same("revision", os.path.basename(svg), "since revision %d" % figure["since_revision"] in f.read(), True)


def check_accounts(report, book, pdf):
    rows = {r["File"]: r for r in book.rows("Inputs", "File")}
    for i in report["inputs"]:
        row = rows.get(i["path"], {})
        for title, key in (("Rows read", "rows_read"), ("Used", "rows_used"), ("Set aside", "rows_set_aside"),
                           ("SHA-256", "sha256")):
            same("inputs", "%s of %s" % (title, i["path"]), row.get(title), i[key])
        holds("inputs", "submittal: " + i["path"], pdf, i["sha256"])


class Cells(html.parser.HTMLParser):
    """Rows of the one table of a page."""

    def __init__(self):
        super().__init__()
        self.rows, self.inside = [], False

    def handle_starttag(self, tag, attrs):
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")
        self.inside = tag in ("td", "th") or (self.inside and tag == "br")

    def handle_endtag(self, tag):
        self.inside = self.inside and tag not in ("td", "th")

    def handle_data(self, data):
        if self.inside:
            self.rows[-1][-1] += data


def check_zone_tables(report, latest):
    for i, z in enumerate(report["zones"]):
        paths = sorted(glob.glob("%s/zones/%02d-*" % (latest, i + 1)))
        same("zone table", "files of " + z["name"], [p.rsplit(".", 1)[1] for p in paths], ["csv", "html"])
        with open(paths[0], encoding="utf-8-sig", newline="") as f:
            rows = list(csv.reader(f))
        page = Cells()
        with open(paths[1], encoding="utf-8") as f:
            page.feed(f.read())
        same("zone table", "CSV and HTML of " + z["name"], page.rows, rows)
        same("zone table", "outcome of " + z["name"], rows[1][5], z["outcome"])
        same("zone table", "outcomes of the checks of " + z["name"], [r[5] for r in rows[2:2 + len(z["checks"])]],
             [c["outcome"] for c in z["checks"]])


def random_sample(folder, seed):
    """The sample job with something else in it, drawn by seed."""
    r = random.Random(seed)
    shutil.copytree(SAMPLE, folder, ignore=shutil.ignore_patterns("reports"))
    path = os.path.join(folder, "job.milrise")
    with open(path, encoding="utf-8") as f:
        text = f.read()
    if r.random() < 0.5:
        text = text.replace("units = US", "units = SI\npaper = Letter")
    text = re.sub(r"minimum = 8 mil", "minimum = %.1f mil" % r.uniform(6, 10), text, count=1)
    rules = ["restriction-level-3", "restriction-level-1", "80-20", "90-10", "plain-limits", "restriction-level-3, 80-20"]
    text = text.replace("rules = restriction-level-3", "rules = " + r.choice(rules), 1)
    text = re.sub(r"humidity maximum = 85 %", "humidity maximum = %d %%" % r.randint(40, 90), text, count=1)
    with open(path, "w", encoding="utf-8") as f:
        f.write(text)
    files = sorted(f for pattern in ("*.csv", "*/*.csv") for f in glob.glob(os.path.join(folder, pattern)))
    for gone in r.sample(files, r.randint(0, 3)):
        if os.path.basename(gone) != "zones.csv":
            os.remove(gone)


def seeded(milrise, jobs, seed):
    import recalculate
    for k in range(seed, seed + jobs):
        with tempfile.TemporaryDirectory() as folder:
            job = os.path.join(folder, "job")
            (random_sample if k % 2 else recalculate.seeded_job)(job, k)
            done = subprocess.run([milrise, "report", "--quiet", job], capture_output=True, text=True)
            if done.returncode not in (0, 1):
                wrong.append("seed %d: %s" % (k, done.stderr[-200:]))
                continue
            before = len(wrong)
            check_job(job)
            wrong[before:] = ["seed %d: %s" % (k, w) for w in wrong[before:]]


def check_job(job):
    latest = os.path.join(job, "reports", "latest")
    with open(os.path.join(latest, "report.json"), encoding="utf-8") as f:
        report = json.load(f)
    with open(os.path.join(job, "answer.txt"), encoding="utf-8") as f:
        answer = f.read()
    path = glob.glob(latest + "/*-report.xlsx")[0]
    book = Book(path)
    pdf = squeezed(glob.glob(latest + "/*-submittal.pdf")[0])
    charts = {os.path.basename(p)[:-4]: squeezed(p) for p in glob.glob(latest + "/charts/*.pdf")}
    check_outcomes(report, book, answer, pdf)
    check_findings(report, book, pdf)
    check_film(report, book, pdf, charts)
    check_rise(report, book, pdf, charts)
    check_zone_tables(report, latest)
    check_evidence(report, book, job)
    check_captions(report, book, path, latest)
    check_revision(report, book, latest, answer, pdf, path)
    check_accounts(report, book, pdf)
    return book


def main():
    try:
        import openpyxl  # noqa: F401
    except ImportError:
        print("SKIPPED ALOUD: python3-openpyxl is not there")
        sys.exit(77)
    if not shutil.which("pdftotext"):
        print("SKIPPED ALOUD: pdftotext is not there")
        sys.exit(77)
    if sys.argv[1] == "--seeded":
        seeded(os.path.abspath(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
    else:
        check_walk(check_job(sys.argv[1]).book, sys.argv[1])
    for fact in ("outcome of the job", "outcome of a zone", "zones by outcome", "number of findings", "words of a finding",
                 "register", "zone table", "mean of a film", "least of a film", "readings of a film", "rise of a coat",
                 "evidence", "checks", "limits", "captions", "revision", "inputs"):
        if compared.get(fact, 0) < 2:
            wrong.append("%s was compared in fewer than two places" % fact)
    if wrong:
        print("\n".join(wrong[:40]))
        sys.exit(1)
    print("; ".join("%s: %d" % pair for pair in compared.items()))


if __name__ == "__main__":
    main()
