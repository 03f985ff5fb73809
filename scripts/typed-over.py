#!/usr/bin/env python3
"""Type over cells of the sample's workbook that no formula follows, and see whether its outcomes notice.

    scripts/typed-over.py MILRISE [--few]

First a cell in every row of every table on which outcomes rest, all in one workbook: the sheet Typed over must count as many
for each sheet. Then, one workbook each, a single cell that belongs to a zone that conforms: the zone and its group of checks
must say that a new report is to be made, and a zone that it does not concern must stay as it is. --few: three of these.

Exit 0: good. 1: faults, one a line. 77: LibreOffice or python3-openpyxl is not installed.
"""
import datetime
import importlib.util
import os
import shutil
import sys
import tempfile
from collections import Counter

SPEC = importlib.util.spec_from_file_location("recalculate", os.path.join(os.path.dirname(__file__), "recalculate.py"))
R = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(R)

# Sheets on which outcomes rest, with the columns of words for people and those that formulas follow.
WORDS = {"Why", "Note", "Evidence", "Evidence: file and lines", "Remark", "Rule", "Rule, source", "By role", "As written",
         "From", "First line", "Zones (coat)", "What decided it"}
SHEETS = {"Zones": set(), "Spray windows": set(), "Clocks": set(), "Channels": {"NOT: From"}, "Thickness limits": set(),
          "Thickness by zone": {"Specified minimum", "Specified maximum"}, "Areas": set(), "Number of measurements": set(),
          "Corrections": set(), "Surveys": set(), "Before and after repair": set(), "Gauge verifications": {"Reading"},
          "Climate at each coat": set(), "Least dew-point spread": set(), "Heat by coat": set(), "Heat events": set(),
          "Rise against thickness": set(), "Heat constants": set(), "Line pressures": set(), "Line events": set(),
          "Pauses": set(), "Material": {"Part A used", "Part B used"}, "Material by zone": set(), "Lots": set(),
          "Shift record": set(), "Checks": {"Outcome"}, "Thickness rules": {"Requirement", "Source"},
          "Settings in force": {"Job file, line", "Default", "Meaning", "Source of the default"}}
ONLY = {"Spots and areas": ["Zone", "Film", "Area", "Spot", "Gauge"],
        "Gauge readings": ["Zone", "Film", "Area", "Spot", "Gauge", "Correction"]}
ZONE, OTHER = "Girder 1 outer web", "Deck soffit east"  # both conform in every group


def head_of(sheet):
    """The first row of three bold cells and more that fill the sheet's first columns."""
    return next(r for r in range(1, 14) if sum(bool(c.font.b and c.value is not None) for c in sheet[r][:4]) >= 3)


def plain_title(cell):
    return str(cell.value).split(" (UTC")[0]


def columns(sheet, head):
    if sheet.title in ONLY:
        return [R.column(sheet, head, t) for t in ONLY[sheet.title]]
    left = SHEETS[sheet.title] | (WORDS - {t[5:] for t in SHEETS[sheet.title] if t.startswith("NOT: ")})
    short = {t.split(",")[0] for t in left if sheet.title in ("Thickness by zone", "Gauge verifications", "Material")}
    return [c.column for c in sheet[head] if plain_title(c) not in left and plain_title(c).split(",")[0] not in short]


def another(value):
    if value is None:
        return 7
    if isinstance(value, datetime.datetime):
        return value + datetime.timedelta(days=1)
    return value + "x" if isinstance(value, str) else value * 1.01 + 1


def every_row(path, copy):
    """Cells typed over by sheet."""
    import openpyxl
    wb, counts = openpyxl.load_workbook(path), Counter()
    for title in [*SHEETS, *ONLY]:
        if title not in wb.sheetnames:
            raise ValueError(f"the sample's workbook has no sheet {title}")
        sheet, turn = wb[title], 0
        head = head_of(sheet)
        where = columns(sheet, head)
        for row in range(head + 1, sheet.max_row + 1):
            free = [sheet.cell(row, c) for c in where if sheet.cell(row, c).data_type != "f"]
            if free:
                cell = free[turn % len(free)]
                cell.value = another(cell.value)
                counts[title] += 1
                turn += 1
    wb.save(copy)
    return counts


def outcomes(path):
    """By zone and column of the sheet Zones."""
    import openpyxl
    sheet = openpyxl.load_workbook(path, data_only=True)["Zones"]
    head = head_of(sheet)
    titles = [c.value for c in sheet[head][:10]]
    return {sheet.cell(r, 1).value: {t: sheet.cell(r, c).value for c, t in enumerate(titles, 1)}
            for r in range(head + 1, sheet.max_row + 1)}


def counted(path, expected):
    import openpyxl
    sheet, found = openpyxl.load_workbook(path, data_only=True)["Typed over"], Counter()
    head = head_of(sheet)
    for r in range(head + 1, sheet.max_row + 1):
        value = sheet.cell(r, 5).value
        if not isinstance(value, (int, float)):
            yield f"Typed over, row {r}: {value!r}"
        elif value:
            found[sheet.cell(r, 3).value] += value
    for title, n in expected.items():
        if found[title] != n:
            yield f"{title}: {n} cells were typed over, {found[title]} counted"
    print(f"{sum(expected.values())} cells of {len(expected)} sheets typed over, {sum(found.values())} counted")
    names = {z for z in outcomes(path) if z.endswith("x")}
    yield from (f"zone {name}: {value[t]!r} in {t}" for name, value in outcomes(path).items() if name not in names
                for t in ("Outcome", "Thickness", "Climate") if value[t] != R.UNKNOWN)


def cell_at(sheet, zone, title, nth=0):
    head = head_of(sheet)
    rows = [r for r in range(head + 1, sheet.max_row + 1)
            if zone is None or zone in (sheet.cell(r, 1).value, sheet.cell(r, 2).value) or
            f'="{zone}"' in (sheet.cell(r, 1).value, sheet.cell(r, 2).value)]
    return sheet.cell(rows[nth], next(c.column for c in sheet[head] if plain_title(c).split(",")[0] == title or
                                      plain_title(c) == title))


def typed(sheet, title, value, nth=0, zone=ZONE):
    def change(wb):
        cell = cell_at(wb[sheet], zone, title, nth)
        cell.value = value(cell.value) if callable(value) else value
    return change


def beneath(wb):
    sheet = wb["Gauge readings"]
    row = sheet.max_row + 1
    for column, value in enumerate((ZONE, "system", "1", "1", 1.0, 0), 1):
        sheet.cell(row, column).value = value


# What is changed; the group of the zone that must notice; whether another zone may too.
SINGLE = (
    (typed("Gauge readings", "Zone", ZONE, zone=OTHER), "Thickness", True),
    (typed("Gauge readings", "Zone", "Girder 1 outer", zone=OTHER), "Thickness", True),
    (typed("Gauge readings", "Area", "2"), "Thickness", False),
    (typed("Gauge readings", "Spot", "2"), "Thickness", False),
    (typed("Gauge readings", "Film", "coat 1"), "Thickness", False),
    (typed("Gauge readings", "Gauge", "another"), "Gauge", False),
    (typed("Gauge readings", "Correction", -5.0), "Thickness", False),
    (beneath, "Thickness", True),
    (typed("Spots and areas", "Area", "2"), "Thickness", False),
    (typed("Areas", "Spots needed", 1), "Thickness", False),
    (typed("Thickness limits", "Share of the specified limit", 10), "Thickness", False),
    (typed("Thickness limits", "Limit in force", "=NA()"), "Thickness", False),
    (typed("Thickness by zone", "Specified minimum", "none"), "Thickness", False),
    (typed("Thickness by zone", "Specified minimum", None), "Thickness", False),
    (typed("Thickness by zone", "Specified minimum", -1), "Thickness", False),
    (typed("Thickness by zone", "Specified maximum", 1), "Thickness", False),
    (typed("Number of measurements", "Areas required", 1), "Thickness", False),
    (typed("Surveys", "Counts", "no"), "History", False),
    (typed("Gauge verifications", "Certified", 1, zone=None), "Gauge", True),
    (typed("Climate at each coat", "Humidity", 99), "Climate", False),
    (typed("Least dew-point spread", "Steel", 300), "Climate", False),
    (typed("Heat by coat", "Rise", 99, 1), "Reaction", False),
    (typed("Heat events", "Peak", 300), "Reaction", False),
    (typed("Line pressures", "Difference", 50), "Lines", False),
    (typed("Material by zone", "Area", 9999), "Material", False),
    (typed("Lots", "Lot", "another", zone=None), "Material", True),
    (typed("Shift record", "Outcome", "does not conform", zone=None), "Shift record", True),
    (typed("Spray windows", "Length", 1), "Climate", False),
    (typed("Zones", "Area", 1), "Lines", False),
    (typed("Clocks", "Drift", 100, zone=None), "Climate", True),
    (typed("Settings in force", "Value in force", "0", zone=None), "Lines", True),
    (typed("Checks", "Measured", 1), "Thickness", False),
    (typed("Checks", "At most", 1, 20), None, False),
)


FEW = (0, 7, 11)  # a reading that came, a row beneath the readings, an error


def single(path, folder, which):
    """Copies, each with one change. A change that finds no cell is a fault of this list."""
    import openpyxl
    copies = []
    for i in which:
        wb = openpyxl.load_workbook(path)
        SINGLE[i][0](wb)
        copies.append(os.path.join(folder, f"typed-{i}.xlsx"))
        wb.save(copies[-1])
    return copies


def noticed(before, again, i):
    _, group, others = SINGLE[i]
    after = outcomes(again)
    for title in ("Outcome", group):
        if title and after[ZONE][title] != R.UNKNOWN:
            yield f"change {i}: {ZONE}, {title}: {after[ZONE][title]!r}"
    if not others and after[OTHER] != before[OTHER]:
        yield f"change {i}: {OTHER} is {after[OTHER]}"


def main():
    if R.is_short_of_tools():
        return 77
    with tempfile.TemporaryDirectory() as folder:
        job = os.path.join(folder, "sample")
        shutil.copytree(R.SAMPLE, job, ignore=shutil.ignore_patterns("reports"))
        book = R.report(os.path.abspath(sys.argv[1]), job)
        everywhere = os.path.join(folder, "everywhere.xlsx")
        expected = every_row(book, everywhere)
        which = FEW if "--few" in sys.argv else range(len(SINGLE))
        again = R.recalculated(folder, [everywhere, *single(book, folder, which)])
        faults, before = list(counted(again[0], expected)), outcomes(book)
        for i, copy in zip(which, again[1:]):
            faults += noticed(before, copy, i)
    print(f"{len(which)} single changes, {len(faults)} faults")
    print("\n".join(faults[:60]))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
