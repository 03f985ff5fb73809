#!/usr/bin/env python3
"""Let a spreadsheet recalculate the workbooks and hold every formula against the value that was stored with it.

    scripts/recalculate.py MILRISE [JOBS [SEED]]

The sample job and JOBS seeded ones (200) are reported on; LibreOffice recalculates each workbook without asking what is
stored; numbers must agree to one part in 10^9, texts exactly. Then something is changed in each sheet and in its job alike:
readings (greater, smaller, tiny, blank, no number, one of them, a whole spot or zone, at another time, of another zone),
limits, verifications, parts used. The recalculated outcomes must be those of the new report, or say that one is to be made;
none may be milder.

Gnumeric recalculates the sample as well, where it is installed.

Exit 0: good. 1: faults, one a line. 77: LibreOffice or python3-openpyxl is not installed.
"""
import datetime
import json
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time

RECALCULATE_ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item></oor:items>
"""
# LibreOffice keeps what it has opened: hundreds of books in one run take ever longer. One that hangs ends the run.
BOOKS_AT_ONCE, SECONDS_AT_ONCE = 20, 900
BEGUN = time.monotonic()
SAMPLE = "sample-data/alder-ford-footbridge"
# Row of the sheet, factor, and whether all readings of the spot are changed.
EDITS = ((1, 0.5, True), (1, 1.01, True), (200, 0.6, True), (300, 1.9, True), (331, 0.6, False), (404, 2.5, False),
         (374, 1.5, False), (88, 1.1, False), (290, 1.6, False))


def recalculated(folder, paths):
    user = os.path.join(folder, "office", "user")
    os.makedirs(user, exist_ok=True)
    with open(os.path.join(user, "registrymodifications.xcu"), "w", encoding="utf-8") as f:
        f.write(RECALCULATE_ALWAYS)
    out = os.path.join(folder, "recalculated")
    for i in range(0, len(paths), BOOKS_AT_ONCE):
        subprocess.run(["soffice", "-env:UserInstallation=file://" + os.path.dirname(user), "--headless", "--convert-to",
                        "xlsx", "--outdir", out] + paths[i:i + BOOKS_AT_ONCE], stdout=subprocess.DEVNULL,
                       stderr=subprocess.DEVNULL, check=True, timeout=SECONDS_AT_ONCE)
        told(f"{min(i + BOOKS_AT_ONCE, len(paths))} of {len(paths)} workbooks recalculated")
    return [os.path.join(out, os.path.basename(p)) for p in paths]


def by_gnumeric(folder, path):
    """The same by another program, with rules of its own for ranges in conditions."""
    if not shutil.which("ssconvert"):
        print("SKIPPED ALOUD: Gnumeric is not installed, the sample was not recalculated by it")
        return 0, []
    again = os.path.join(folder, "gnumeric-" + os.path.basename(path))
    said = subprocess.run(["ssconvert", "--recalc", path, again], stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                          check=True, timeout=SECONDS_AT_ONCE, text=True).stdout.strip()
    n, wrong = differences(path, again)
    return n, ["by Gnumeric, " + w for w in wrong] + [f"Gnumeric complains: {said}"] * bool(said)


def told(what):
    """How far it is, with the time: a run over hundreds of jobs takes a quarter of an hour."""
    print(f"{time.monotonic() - BEGUN:6.0f} s  {what}", file=sys.stderr, flush=True)


def same(x, y):
    if isinstance(x, (int, float)) and isinstance(y, (int, float)):
        return abs(x - y) <= 1e-9 * max(abs(x), abs(y)) + 1e-12
    return x == y or (x in (None, "") and y in (None, ""))


def differences(path, again):
    """Number of formulas, and those whose value is another after recalculation."""
    import openpyxl
    stored = openpyxl.load_workbook(path, data_only=True)
    formulas = openpyxl.load_workbook(path)
    fresh = openpyxl.load_workbook(again, data_only=True)
    n, faults = 0, []
    for sheet in formulas.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type != "f":
                    continue
                n += 1
                x, y = stored[sheet.title][cell.coordinate].value, fresh[sheet.title][cell.coordinate].value
                if not same(x, y):
                    faults.append(f"{os.path.basename(path)}: {sheet.title}!{cell.coordinate} is {x!r}, "
                                  f"recalculated {y!r}")
    return n, faults


def report(milrise, job):
    subprocess.run([milrise, "report", "--no-charts", job], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    latest = os.path.join(job, "reports", "latest")
    for name in os.listdir(latest) if os.path.isdir(latest) else []:
        if name.endswith(".xlsx"):
            return os.path.join(latest, name)
    return None


def seeded_job(folder, seed):
    """A job of a few zones around its limits, in either system of units, under a rule drawn at random."""
    r = random.Random(seed)
    us = r.random() < 0.5
    unit, low, high, step = ("mil", 8.0, 12.0, 0.01) if us else ("um", 200.0, 300.0, 1.0)
    rule = r.choice(["restriction-level-3", "restriction-level-1", "80-20", "90-10", "plain-limits",
                     "restriction-level-3, 80-20"])
    per_spot, zones = r.choice([3, 3, 3, 2]), r.randint(1, 4)
    os.makedirs(folder)

    def write(name, text):
        with open(os.path.join(folder, name), "w", encoding="utf-8") as f:
            f.write(text)

    write("job.milrise", f"""[job]
name = Seeded job {seed}
time zone = UTC
dates = 2026-05-10 .. 2026-05-13
[report]
units = {"US" if us else "SI"}
[thickness]
minimum = {low:g} {unit}
maximum = {high:g} {unit}
rules = {rule}
[climate]
required = no
[reaction]
required = no
[lines]
required = no
[material]
required = yes
ratio = 1
ratio tolerance = {r.choice([1, 2, 5])} %
""")
    area = "ft2" if us else "m2"
    write("zones.csv", f"Zone,Aliases,Area ({area}),Substrate,Steel thickness (mm),Surface grade,Profile (um),Coats\n" +
          "".join(f"Wall {z},,{r.randint(5, 250) * (10 if us else 1)},plate,6,Sa 2 1/2,60,1\n"
                  for z in range(1, zones + 1)))
    write("spray log.csv", "Date,Action,Zone,Coat,Start,Stop,Lot A,Lot B,Role,Remarks\n" +
          "".join(f"2026-05-11,spray,Wall {z},1,{7 + z}:00,{7 + z}:20,A1,B1,sprayer,\n" for z in range(1, zones + 1)))
    a, b = r.uniform(5, 9), r.uniform(5, 9) if r.random() < 0.3 else None
    b = a * r.uniform(0.96, 1.04) if b is None else b
    write("material log.csv", "Date,Time,Part,Drum,Lot,Level before (gal),Level after (gal),Note\n"
          f"2026-05-11,16:00,A,A1,A1,50.00,{50 - a:.2f},\n2026-05-11,16:00,B,B1,B1,50.00,{50 - b:.2f},\n")
    if r.random() < 0.7:
        write("verifications.csv", f"Date,Time,Gauge serial,Certified value ({unit}),Reading ({unit}),Before/after,Note\n" +
              "".join(f"2026-05-13,{t},G1,{c},{c * r.uniform(0.98, 1.03):.3f},{w},\n"
                      for t, w in (("07:30", "before"), ("18:30", "after")) for c in (low, high)))
    rows, minute = [], 0
    for z in range(1, zones + 1):
        level = r.uniform(low, high) if r.random() < 0.7 else r.choice([low * 0.95, high * 1.05])
        for k in range(1, r.randint(1, 5) + 1):
            for s in range(1, r.choice([5, 5, 5, 4]) + 1):
                spot = level * (1 + r.gauss(0, 0.04))
                n = per_spot if r.random() < 0.95 else r.choice([1, per_spot + 1])
                for _ in range(n):
                    value = spot * (1 + r.gauss(0, r.choice([0.01, 0.01, 0.15])))
                    value = round(r.choice([value, value, low, high]) / step) * step
                    minute += 1
                    rows.append(f"2026-05-13 {8 + minute // 3600:02d}:{minute // 60 % 60:02d}:{minute % 60:02d},Wall {z},"
                                f"{k},{s},{value:.2f},{unit},G1\n")
    write("thickness.csv", "Date and time,Zone,Area,Spot,Thickness,Unit,Gauge serial\n" + "".join(rows))


def column(sheet, row, title):
    for cell in sheet[row]:
        if isinstance(cell.value, str) and re.split("[,(]", cell.value)[0].strip() == title:
            return cell.column
    raise ValueError(f"{sheet.title} has no column {title}")


def draw(r):
    factor = r.choice([0.3, 0.8, 0.95, 0.99, 1.01, 1.05, 1.2, 2.5])
    return "spot" if r.random() < 0.3 else "reading", factor


def head_row(sheet):
    return next(r for r in range(1, 12) if sheet.cell(r, 1).value in ("Zone", "Gauge"))


class Edit:
    """A copy of a workbook and one of its job, with the same change in both."""

    def __init__(self, folder, book, source, number):
        import openpyxl
        self.wb = openpyxl.load_workbook(book)
        self.sheet = self.wb["Gauge readings"]
        self.head = head_row(self.sheet)
        self.job = os.path.join(folder, f"edited-{number}")
        self.copy = os.path.join(folder, f"edited-{number}.xlsx")
        self.name, self.what = os.path.basename(source), ""
        shutil.copytree(source, self.job, ignore=shutil.ignore_patterns("reports"))
        self.at = {title: column(self.sheet, self.head, title)
                   for title in ("Zone", "Film", "Area", "Spot", "File", "Line", "As the gauge showed it", "Time")}

    def cell(self, row, title):
        return self.sheet.cell(row, self.at[title])

    def words(self, row, *titles):
        return [self.cell(row, title).value for title in titles]

    def rows(self, which, whole):
        """A row, with those of its spot, or of its zone."""
        titles = {"reading": (), "spot": ("Zone", "Film", "Area", "Spot"), "zone": ("Zone",)}[whole]
        own = self.words(which, *titles)
        for row in range(self.head + 1, self.sheet.max_row + 1):
            if row == which or (titles and self.words(row, *titles) == own):
                yield row

    def any_row(self, number):
        return self.head + 1 + number % (self.sheet.max_row - self.head)

    def readings(self, number, whole, how):
        """how: a factor, or the text that stands in the cell afterwards ("": nothing)."""
        which = self.any_row(number)
        for row in self.rows(which, whole):
            path = os.path.join(self.job, self.cell(row, "File").value)
            shown = self.cell(row, "As the gauge showed it")
            shown.value = edit_export(path, int(self.cell(row, "Line").value), shown.value, how) or None
        self.what = f"{whole} of row {which}, {self.words(which, 'Zone', 'Area', 'Spot')}: {how!r}"

    def time(self, number, days):
        which = self.any_row(number)
        cell, path = self.cell(which, "Time"), os.path.join(self.job, self.cell(which, "File").value)
        new = cell.value + datetime.timedelta(days=days)
        edit_line(path, int(self.cell(which, "Line").value), f"{cell.value:%Y-%m-%d}", f"{new:%Y-%m-%d}")
        cell.value = new
        self.what = f"time of row {which} {days} days on"

    def zone(self, number):
        """A reading goes to another zone."""
        which = self.any_row(number)
        old, path = self.cell(which, "Zone").value, os.path.join(self.job, self.cell(which, "File").value)
        names = sorted({self.cell(r, "Zone").value for r in range(self.head + 1, self.sheet.max_row + 1)} - {old})
        if names:
            edit_line(path, int(self.cell(which, "Line").value), old, names[0])
            self.cell(which, "Zone").value = names[0]
        self.what = f"row {which} from {old} to {names[:1]}"

    def place(self, number, title, index):
        """A reading of a seeded job goes to another area or spot that the film has, or to one that it has not."""
        which = self.any_row(number)
        cell, path, line = self.cell(which, title), os.path.join(self.job, "thickness.csv"), int(self.cell(which, "Line").value)
        cells = lines_of(path)[line - 1].split(",")
        old = cells[index]
        cell.value = cells[index] = str(int(old) % 6 + 1)
        edit_line(path, line, lines_of(path)[line - 1], ",".join(cells))
        self.what = f"{title} of row {which} from {old} to {cell.value}"

    def limit(self, which, factor):
        """The specified minimum or maximum of every film, in the job file and in the sheet of the zones' film."""
        sheet, key = self.wb["Thickness by zone"], "minimum" if which == "Specified minimum" else "maximum"
        head = head_row(sheet)
        for row in range(head + 1, sheet.max_row + 1):
            cell = sheet.cell(row, column(sheet, head, which))
            if isinstance(cell.value, (int, float)):
                cell.value = round(cell.value * factor, 2)
        path = os.path.join(self.job, "job.milrise")
        with open(path, encoding="utf-8") as f:
            text = f.read()
        text = re.sub(rf"(\[thickness\][^\[]*?\n{key} = )([0-9.]+)", lambda m: m.group(1) +
                      f"{round(float(m.group(2)) * factor, 2):g}", text, count=1)
        with open(path, "w", encoding="utf-8") as f:
            f.write(text)
        self.what = f"{which} times {factor}"

    def verification(self, factor):
        """The first reading on a shim."""
        sheet = self.wb["Gauge verifications"]
        head = head_row(sheet)
        cell = sheet.cell(head + 1, column(sheet, head, "Reading"))
        where = sheet.cell(head + 1, column(sheet, head, "From")).value
        self.what = "no verification to change"
        if where is None:
            return
        file, line = where.rsplit(":", 1)
        path = os.path.join(self.job, file)
        old = re.search(r"[0-9.]+", f"{cell.value:.6g}").group()
        new = f"{float(old) * factor:.2f}"
        lines = lines_of(path)
        cells = lines[int(line) - 1].split(",")
        k = max(i for i, c in enumerate(cells) if re.fullmatch(r"[0-9.]+", c))
        cells[k] = f"{float(cells[k]) * factor:.3f}"
        edit_line(path, int(line), lines[int(line) - 1], ",".join(cells))
        cell.value = float(cells[k])
        self.what = f"verification {old} to {new}"

    def material(self, factor):
        """What one shift used of part A; the job of a seed has one row of each part."""
        sheet = self.wb["Material"]
        head = next(r for r in range(1, 12) if sheet.cell(r, 1).value == "Shift")
        cell = sheet.cell(head + 1, column(sheet, head, "Part A used"))
        path = os.path.join(self.job, "material log.csv")
        lines = lines_of(path)
        n = next(i for i, line in enumerate(lines) if ",A," in line)
        cells = lines[n].split(",")
        used = round((float(cells[5]) - float(cells[6])) * factor, 2)
        cell.value = cell.value * used / (float(cells[5]) - float(cells[6]))
        cells[6] = f"{float(cells[5]) - used:.2f}"
        edit_line(path, n + 1, lines[n], ",".join(cells))
        self.what = f"part A of the first shift times {factor}"

    def done(self):
        self.wb.save(self.copy)
        return self.copy, self.job, f"{self.name}, {self.what}"


def lines_of(path):
    with open(path, encoding="utf-8", newline="") as f:
        return f.read().split("\n")


def edit_line(path, line, old, new):
    """In a line of an export, and where the same line stands in another export of the folder."""
    before = lines_of(path)[line - 1]
    assert old in before, (path, line, old, before)
    after = before.replace(old, new, 1)
    for other in os.listdir(os.path.dirname(path)):
        other = os.path.join(os.path.dirname(path), other)
        if os.path.isfile(other):
            with open(other, encoding="utf-8", newline="") as f:
                whole = f.read()
            with open(other, "w", encoding="utf-8", newline="") as f:
                f.write(whole.replace(before, after))


# Changes of the other kinds, of which each seeded job gets one.
KINDS = (lambda e, k: e.readings(k, "reading", 0.01), lambda e, k: e.readings(k, "reading", ""),
         lambda e, k: e.readings(k, "reading", "8.1x"), lambda e, k: e.readings(k, "zone", ""),
         lambda e, k: e.limit("Specified minimum", 1.1), lambda e, k: e.limit("Specified minimum", 0.8),
         lambda e, k: e.limit("Specified maximum", 0.9), lambda e, k: e.time(k, -2), lambda e, k: e.zone(k),
         lambda e, k: e.verification(1.5), lambda e, k: e.material(1.2), lambda e, k: e.readings(k, "reading", -1.0),
         lambda e, k: e.readings(k, "reading", 1000.0), lambda e, k: e.readings(k, "spot", ""),
         lambda e, k: e.place(k, "Area", 2), lambda e, k: e.place(k, "Spot", 3))
OF_SEEDS = (7, 8, 9, 10, 14, 15)  # the sample's exports and its material log are written otherwise


def edit_export(path, line, shown, how):
    """The value in a line of an export times a factor, or another text in its place. shown: the value in the unit of the
    sheet. Returns the new one in it, or the text."""
    text = lines_of(path)[line - 1]
    # the number that is the value in one unit or the other: mil, or micrometres of the same
    mark = "[.,]" if re.search("[;\t]", text) else "[.]"
    # of numbers that fit alike the one with most digits: an hour may be as great as a film of 8.00 mil
    found = min((round(abs(float(m.group().replace(",", ".")) * scale / shown - 1), 9), -len(m.group()), scale, m.start(),
                 m.end()) for m in re.finditer(f"[0-9]+({mark}[0-9]+)?", text) for scale in (1, 1 / 25.4, 25.4))
    found = found[:1] + found[2:]
    assert found[0] < 0.01, (path, line, shown, text)
    old = text[found[2]:found[3]]
    if isinstance(how, str):
        edit_line(path, line, text, text[:found[2]] + how + text[found[3]:])
        return how
    digits = len(re.split(mark, old)[1]) if re.search(mark, old) else 0
    value = round(float(old.replace(",", ".")) * how, digits)
    new = f"{value:.{digits}f}".replace(".", "," if "," in old else ".")
    edit_line(path, line, text, text[:found[2]] + new + text[found[3]:])
    return value * found[1]


# What a zone says, by gravity; UNKNOWN stands for what no formula follows.
UNKNOWN, GRAVITY = "make a new report", ("not required", "conforms", "not shown", "does not conform")
COLUMNS = {"Outcome": None, "Thickness": "thickness", "Gauge": "gauge", "Material": "material", "History": "history"}


def compared(milrise, again, job, what, left):
    """Faults where the verdicts of the recalculated sheet and of a new report on the changed export differ. A sheet that
    says that a new report is to be made is none; left counts how often one does, of how many."""
    import openpyxl
    fresh = openpyxl.load_workbook(again, data_only=True)["Zones"]
    head = head_row(fresh)
    report(milrise, job)
    with open(os.path.join(job, "reports", "latest", "report.json"), encoding="utf-8") as f:
        new = json.load(f)
    wanted = {z["name"]: dict(z["outcomes"], **{"": z["outcome"]}) for z in new["zones"]}
    wanted["(whole job)"] = {"": new["outcome"]}
    for r in range(head + 1, fresh.max_row + 1):
        name = fresh.cell(r, 1).value
        for title, group in COLUMNS.items():
            says, would = fresh.cell(r, column(fresh, head, title)).value, wanted.get(name, {}).get(group or "")
            if would is None:
                continue
            left[says == UNKNOWN] += 1
            if says not in (would, UNKNOWN):
                milder = says in GRAVITY and GRAVITY.index(says) < GRAVITY.index(would)
                yield (f"{what}: {name}, {title}: {says!r} in the sheet, {would!r} in the new report" +
                       (", MILDER" if milder else ""))


def is_short_of_tools():
    """Says aloud what is not installed."""
    try:
        import openpyxl  # noqa: F401
    except ImportError:
        print("SKIPPED ALOUD: python3-openpyxl is not installed")
        return True
    if not shutil.which("soffice"):
        print("SKIPPED ALOUD: LibreOffice is not installed, no workbook was recalculated")
        return True
    return False


def main():
    if is_short_of_tools():
        return 77
    milrise, jobs = os.path.abspath(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 200
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    faults, formulas = [], 0
    with tempfile.TemporaryDirectory() as folder:
        sample = os.path.join(folder, "sample")
        shutil.copytree(SAMPLE, sample, ignore=shutil.ignore_patterns("reports"))
        books = [report(milrise, sample)]
        for k in range(jobs):
            job = os.path.join(folder, f"seeded-{seed + k}")
            seeded_job(job, seed + k)
            books.append(report(milrise, job))
        told(f"{len(books)} jobs reported on")
        missing = sum(b is None for b in books)
        if missing:
            faults.append(f"{missing} jobs gave no workbook")
        books = [b for b in books if b]
        for book, again in zip(books, recalculated(folder, books)):
            n, wrong = differences(book, again)
            formulas += n
            faults += wrong
        of_gnumeric, wrong = by_gnumeric(folder, books[0])
        faults += wrong
        edits = []

        def begin(book, source):
            edits.append(Edit(folder, book, source, len(edits)))
            return edits[-1]

        for which, factor, whole in EDITS:
            begin(books[0], SAMPLE).readings(which, "spot" if whole else "reading", factor)
        for k, kind in enumerate(KINDS):
            if k not in OF_SEEDS:
                kind(begin(books[0], SAMPLE), 37 * k)
        r, other = random.Random(seed), random.Random(-seed)
        for k, book in enumerate(books[1:]):
            source = os.path.dirname(os.path.dirname(os.path.dirname(book)))
            begin(book, source).readings(r.randrange(10000), *draw(r))
            if "Gauge verifications" in edits[-1].wb.sheetnames or k % len(KINDS) != 9:
                KINDS[k % len(KINDS)](begin(book, source), other.randrange(10000))
        made = [e.done() for e in edits]
        told(f"{len(made)} changes made")
        left = [0, 0]
        for (_, job, what), again in zip(made, recalculated(folder, [e[0] for e in made])):
            faults += compared(milrise, again, job, what, left)
    print(f"{left[1]} of {sum(left)} outcomes after a change say that a new report is to be made")
    print(f"{of_gnumeric} formulas of the sample recalculated by Gnumeric")
    print(f"{formulas} formulas of {len(books)} workbooks recalculated, {len(made)} changes, {len(faults)} faults")
    print("\n".join(faults[:40]))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
