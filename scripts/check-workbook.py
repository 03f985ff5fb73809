#!/usr/bin/env python3
"""Read a workbook back and walk through what a spreadsheet program would stumble over.

    scripts/check-workbook.py WORKBOOK [--cells FILE]

Two readers that know nothing of each other: openpyxl opens the file as a user's program would, and an own walk over the
parts of the zip looks for what openpyxl lets pass: sheet names, cells twice or out of order, numbers that are none,
overlapping merges, filters over nothing, bad defined names, references to sheets that are not there, headers that do not
stand over their columns, pictures without a text. --cells writes every value, one a line, for comparison.

Exit 0: good. 1: faults, one a line. 77: python3-openpyxl is not installed.
"""
import math
import re
import sys
import zipfile
import xml.etree.ElementTree as ET

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
REL = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
PACKAGE = "{http://schemas.openxmlformats.org/package/2006/relationships}"
DRAWING = "{http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing}"
ROWS, COLUMNS = 1048576, 16384


def column_number(letters):
    n = 0
    for c in letters:
        n = n * 26 + ord(c) - 64
    return n


def cell(ref):
    m = re.fullmatch(r"\$?([A-Z]{1,3})\$?([1-9][0-9]*)", ref)
    if not m:
        return None
    c, r = column_number(m.group(1)), int(m.group(2))
    return (r, c) if r <= ROWS and c <= COLUMNS else None


def area(ref):
    parts = ref.split(":")
    ends = [cell(p) for p in parts]
    if len(parts) > 2 or None in ends:
        return None
    (r0, c0), (r1, c1) = ends[0], ends[-1]
    return (r0, c0, r1, c1) if r0 <= r1 and c0 <= c1 else None


def overlap(a, b):
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def check_sheet_names(names):
    seen = set()
    for n in names:
        if not 1 <= len(n) <= 31:
            yield f"sheet name of {len(n)} characters: {n!r}"
        if re.search(r"[\[\]:*?/\\]", n) or n.startswith("'") or n.endswith("'"):
            yield f"sheet name with a forbidden character: {n!r}"
        if n.casefold() in seen:
            yield f"sheet name twice: {n!r}"
        seen.add(n.casefold())


def text_of(node):
    return "".join(t.text or "" for t in node.iter(MAIN + "t"))


# Functions that the office suites, LibreOffice and Gnumeric share, none with a prefix.
FUNCTIONS = set("ABS AVERAGE COUNT COUNTA COUNTIF IF INT ISNUMBER LARGE LN MAX MEDIAN MIN OR PERCENTILE ROUND ROWS SMALL STDEV SUM SUMIF SUMPRODUCT"
                .split())


def check_formula(place, text, value, names):
    if value is None or not (value.text or ""):
        yield f"{place}: a formula without its value"
    bare = re.sub(r'"(?:[^"]|"")*"', '""', text)
    for sheet in re.findall(r"'([^']*)'!", bare):
        if sheet not in names:
            yield f"{place}: a formula over the sheet {sheet!r}, which is not there"
    for function in re.findall(r"([A-Za-z_.][A-Za-z0-9_.]*)\(", re.sub(r"'[^']*'!", "", bare)):
        if function not in FUNCTIONS:
            yield f"{place}: {function} is not known to every suite"
    if re.search(r"ISNUMBER\([^()]*:", bare):
        yield f"{place}: ISNUMBER over a range, of which Gnumeric looks at one cell"
    if "#REF" in bare or len(text) > 8191:
        yield f"{place}: formula {text[:60]!r}"


def check_cells(name, root, cells, names):
    """Values by place into cells; faults as they come."""
    last = (0, 0)
    for row in root.iter(MAIN + "row"):
        for c in row.findall(MAIN + "c"):
            ref = c.get("r")
            at = cell(ref)
            if at is None:
                yield f"{name}: cell reference {ref!r}"
                continue
            if at <= last:
                yield f"{name}!{ref}: twice or out of order"
            if at[0] != int(row.get("r")):
                yield f"{name}!{ref}: stands in row {row.get('r')}"
            last = at
            kind, value = c.get("t", "n"), c.find(MAIN + "v")
            if kind == "inlineStr":
                cells[at] = text_of(c)
                if cells[at].startswith("Not recalculated: "):
                    yield f"{name}!{ref}: {cells[at]}"
            elif kind == "n" and value is not None:
                try:
                    number = float(value.text)
                    if not math.isfinite(number) or re.search("[a-df-zA-DF-Z]", value.text):
                        raise ValueError
                    cells[at] = number
                except ValueError:
                    yield f"{name}!{ref}: {value.text!r} is not a number"
            elif kind == "str" and c.find(MAIN + "f") is not None and value is not None:
                cells[at] = value.text or ""
            elif kind not in ("n", "inlineStr", "s"):
                yield f"{name}!{ref}: cell of kind {kind}"
            if isinstance(cells.get(at), str) and len(cells[at]) > 32767:
                yield f"{name}!{ref}: text of {len(cells[at])} characters"
            if c.find(MAIN + "f") is not None:
                yield from check_formula(f"{name}!{ref}", c.find(MAIN + "f").text or "", value, names)


def check_ranges(name, root, cells):
    merged = [area(m.get("ref")) for m in root.iter(MAIN + "mergeCell")]
    for i, a in enumerate(merged):
        if a is None:
            yield f"{name}: bad merge"
        for b in merged[:i]:
            if a and b and overlap(a, b):
                yield f"{name}: overlapping merges"
    for f in root.iter(MAIN + "autoFilter"):
        a = area(f.get("ref"))
        if a is None:
            yield f"{name}: bad filter {f.get('ref')}"
            continue
        heads = [cells.get((a[0], c)) for c in range(a[1], a[3] + 1)]
        if any(not isinstance(h, str) or not h.strip() for h in heads):
            yield f"{name}: a filtered column without a header"
        if len(set(heads)) != len(heads):
            yield f"{name}: two columns of a table share a header: {heads}"
        if not any(r > a[0] for r, c in cells):
            yield f"{name}: a filter over nothing"
        low = max((r for r, c in cells), default=0)
        if low > a[2] and cells.get((a[0] + 1, a[1])) != "None." and name != "Verdict":
            yield f"{name}: rows below the filtered range"
    panes = [p for p in root.iter(MAIN + "pane")]
    for p in panes:
        if p.get("state") != "frozen" or cell(p.get("topLeftCell")) is None:
            yield f"{name}: bad pane"


def check_links(name, root, names):
    for h in root.iter(MAIN + "hyperlink"):
        location = h.get("location")
        if location is None:
            continue
        m = re.fullmatch(r"'((?:[^']|'')+)'!([A-Z]+[0-9]+)", location)
        if not m or m.group(1).replace("''", "'") not in names or cell(m.group(2)) is None:
            yield f"{name}: link to {location!r}"


def check_defined_names(book, names):
    seen = set()
    for d in book.iter(MAIN + "definedName"):
        label, sheet = d.get("name"), d.get("localSheetId")
        if (label, sheet) in seen:
            yield f"defined name twice: {label}"
        seen.add((label, sheet))
        if not re.fullmatch(r"[A-Za-z_\\][A-Za-z0-9_.\\]*", label) or cell(label.upper()):
            yield f"bad defined name: {label!r}"
        m = re.fullmatch(r"(?:'((?:[^']|'')+)'|([A-Za-z0-9_]+))!(.+)", d.text or "")
        target = m and (m.group(1) or m.group(2)).replace("''", "'")
        if not m or target not in names:
            yield f"{label}: reference {d.text!r}"
        elif not (re.fullmatch(r"(\$[A-Z]+:\$[A-Z]+,.+!)?\$[0-9]+:\$[0-9]+", m.group(3)) or area(m.group(3))):
            yield f"{label}: range {m.group(3)!r}"


def check_footer(name, root):
    for f in root.iter(MAIN + "oddFooter"):
        if len(f.text or "") > 255:
            yield f"{name}: footer of {len(f.text)} characters"
        if re.search(r"&(?![LCRPND&0-9\"])", (f.text or "").replace("&&", "")):
            yield f"{name}: footer code in {f.text!r}"


def check_drawings(z):
    for part in z.namelist():
        if not re.fullmatch(r"xl/drawings/drawing[0-9]+\.xml", part):
            continue
        boxes = []
        for anchor in ET.fromstring(z.read(part)):
            at = anchor.find(DRAWING + "from")
            to = anchor.find(DRAWING + "to")
            box = tuple(int(n.find(DRAWING + k).text) for n in (at, to) for k in ("row", "col"))
            if any(overlap(box, b) for b in boxes):
                yield f"{part}: pictures overlap"
            boxes.append(box)
            for p in anchor.iter(DRAWING + "cNvPr"):
                if not p.get("descr"):
                    yield f"{part}: a picture without a text"


def walk(path, dump):
    with zipfile.ZipFile(path) as z:
        if z.testzip():
            yield f"damaged part {z.testzip()}"
        for part in z.namelist():
            if part.endswith((".xml", ".rels")):
                ET.fromstring(z.read(part))
        book = ET.fromstring(z.read("xl/workbook.xml"))
        targets = {r.get("Id"): r.get("Target") for r in ET.fromstring(z.read("xl/_rels/workbook.xml.rels"))}
        sheets = [(s.get("name"), "xl/" + targets[s.get(REL + "id")]) for s in book.iter(MAIN + "sheet")]
        names = [n for n, _ in sheets]
        yield from check_sheet_names(names)
        yield from check_defined_names(book, names)
        yield from check_drawings(z)
        for name, part in sheets:
            root, cells = ET.fromstring(z.read(part)), {}
            yield from check_cells(name, root, cells, names)
            yield from check_ranges(name, root, cells)
            yield from check_links(name, root, names)
            yield from check_footer(name, root)
            for (r, c), v in sorted(cells.items()):
                dump.append(f"{name}\t{r}\t{c}\t{v!r}")


def read_back(path):
    import openpyxl
    book = openpyxl.load_workbook(path)
    for sheet in book.worksheets:
        if sheet.max_row < 1 or sheet["A1"].value in (None, ""):
            yield f"{sheet.title}: no title in A1"
        if not sheet.page_setup.orientation:
            yield f"{sheet.title}: no print set-up"
    if book.properties.created is None or book.properties.title is None:
        yield "no document properties"


def main():
    try:
        import openpyxl  # noqa: F401
    except ImportError:
        print("python3-openpyxl is not installed")
        return 77
    dump = []
    faults = list(walk(sys.argv[1], dump)) + list(read_back(sys.argv[1]))
    if "--cells" in sys.argv:
        with open(sys.argv[sys.argv.index("--cells") + 1], "w", encoding="utf-8") as f:
            f.write("\n".join(dump) + "\n")
    print("\n".join(faults[:60]))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
