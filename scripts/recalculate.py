#!/usr/bin/env python3
"""Let a spreadsheet recalculate the workbooks and hold every formula against the value that was stored with it.

    scripts/recalculate.py MILRISE [JOBS [SEED]]

The sample job and JOBS seeded ones (200) are reported on; LibreOffice recalculates each workbook without asking what is
stored; numbers must agree to one part in 10^9, texts exactly. Then readings are changed in each sheet and in its export
alike, one of them or a whole spot: the recalculated verdict must be that of the new report.

Exit 0: good. 1: faults, one a line. 77: LibreOffice or python3-openpyxl is not installed.
"""
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
        if isinstance(cell.value, str) and cell.value.split(",")[0] == title:
            return cell.column
    raise ValueError(f"{sheet.title} has no column {title}")


def head_row(sheet):
    return next(r for r in range(1, 12) if sheet.cell(r, 1).value in ("Zone", "Gauge"))


def edit(folder, book, source, number, which, factor, whole):
    """A copy of the workbook and one of the job with the same change: the reading of row `which`, or every reading of its
    spot, times a factor. Returns: workbook, job, what was done, outcomes before."""
    import openpyxl
    wb = openpyxl.load_workbook(book)
    sheet = wb["Gauge readings"]
    head = head_row(sheet)
    job = os.path.join(folder, f"edited-{number}")
    shutil.copytree(source, job, ignore=shutil.ignore_patterns("reports"))

    at = {title: column(sheet, head, title)
          for title in ("Zone", "Film", "Area", "Spot", "File", "Line", "As the gauge showed it")}

    def cell(row, title):
        return sheet.cell(row, at[title])

    def spot(row):
        return [cell(row, title).value for title in ("Zone", "Film", "Area", "Spot")]

    which = head + 1 + which % (sheet.max_row - head)
    own = spot(which)
    for row in range(head + 1, sheet.max_row + 1):
        if row == which or (whole and spot(row) == own):
            path = os.path.join(job, cell(row, "File").value)
            shown = cell(row, "As the gauge showed it")
            shown.value = edit_export(path, int(cell(row, "Line").value), shown.value, factor)
    copy = os.path.join(folder, f"edited-{number}.xlsx")
    wb.save(copy)
    what = f"{os.path.basename(source)}, {own}, {'spot' if whole else 'reading'} of row {which} times {factor}"
    return copy, job, what


def edit_export(path, line, shown, factor):
    """The value in a line of an export times a factor, also in a second export of the gauge's memory: one that said
    otherwise would contradict the first. shown: the value in the unit of the sheet. Returns the new one in it."""
    with open(path, encoding="utf-8", newline="") as f:
        lines = f.read().split("\n")
    text = lines[line - 1]
    # the number that is the value in one unit or the other: mil, or micrometres of the same
    mark = "[.,]" if re.search("[;\t]", text) else "[.]"
    # of numbers that fit alike the one with most digits: an hour may be as great as a film of 8.00 mil
    found = min((round(abs(float(m.group().replace(",", ".")) * scale / shown - 1), 9), -len(m.group()), scale, m.start(),
                 m.end()) for m in re.finditer(f"[0-9]+({mark}[0-9]+)?", text) for scale in (1, 1 / 25.4, 25.4))
    found = found[:1] + found[2:]
    assert found[0] < 0.01, (path, line, shown, text)
    old = text[found[2]:found[3]]
    digits = len(re.split(mark, old)[1]) if re.search(mark, old) else 0
    value = round(float(old.replace(",", ".")) * factor, digits)
    new = f"{value:.{digits}f}".replace(".", "," if "," in old else ".")
    before, after = text, text[:found[2]] + new + text[found[3]:]
    for other in os.listdir(os.path.dirname(path)):
        other = os.path.join(os.path.dirname(path), other)
        if not os.path.isfile(other):
            continue
        with open(other, encoding="utf-8", newline="") as f:
            whole = f.read()
        with open(other, "w", encoding="utf-8", newline="") as f:
            f.write(whole.replace(before, after))
    return value * found[1]


def compared(milrise, again, job, what):
    """Faults where the verdicts of the recalculated sheet and of a new report on the changed export differ."""
    import openpyxl
    fresh = openpyxl.load_workbook(again, data_only=True)["Zones"]
    head = head_row(fresh)
    report(milrise, job)
    with open(os.path.join(job, "reports", "latest", "report.json"), encoding="utf-8") as f:
        new = json.load(f)
    wanted = {z["name"]: (z["outcome"], z["outcomes"]["thickness"]) for z in new["zones"]}
    wanted["(whole job)"] = (new["outcome"], None)
    for r in range(head + 1, fresh.max_row + 1):
        name, outcome, film = (fresh.cell(r, c).value for c in (1, 2, column(fresh, head, "Thickness")))
        if name in wanted and (outcome != wanted[name][0] or (wanted[name][1] and film != wanted[name][1])):
            yield f"{what}: {name} is {outcome}, film {film}, in the sheet and {wanted[name]} in the new report"


def main():
    try:
        import openpyxl  # noqa: F401
    except ImportError:
        print("SKIPPED ALOUD: python3-openpyxl is not installed")
        return 77
    if not shutil.which("soffice"):
        print("SKIPPED ALOUD: LibreOffice is not installed, no workbook was recalculated")
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
        edits = [edit(folder, books[0], SAMPLE, k, *how) for k, how in enumerate(EDITS)]
        r = random.Random(seed)
        for book in books[1:]:
            source = os.path.dirname(os.path.dirname(os.path.dirname(book)))
            edits.append(edit(folder, book, source, len(edits), r.randrange(10000),
                              r.choice([0.3, 0.8, 0.95, 0.99, 1.01, 1.05, 1.2, 2.5]), r.random() < 0.3))
        told(f"{len(edits)} readings or spots changed")
        for (_, job, what), again in zip(edits, recalculated(folder, [e[0] for e in edits])):
            faults += compared(milrise, again, job, what)
    print(f"{formulas} formulas of {len(books)} workbooks recalculated, {len(edits)} edits, {len(faults)} faults")
    print("\n".join(faults[:40]))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
