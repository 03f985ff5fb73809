#!/usr/bin/env python3
"""Print a workbook and hold what comes out of the printer.

    scripts/check-print.py WORKBOOK PAGES
    scripts/check-print.py WORKBOOK --cells

LibreOffice prints it to PDF: at most PAGES pages, no number shown as ###, no heading alone at the foot of a page, type of
7 points and more, every text of a printed cell in the print, no text cut. Then the heights of the rows are taken out of a
copy, so that LibreOffice finds its own: no row may be lower, or its last line is hidden, and all together no more than two
fifths higher. --cells: cut texts alone, for which nothing is printed.

Exit 0: good. 1: faults, one a line. 77: LibreOffice, pdftotext or python3-openpyxl is not installed, or Arial is set in a
face other than Nimbus Sans (fonts-urw-base35): with others LibreOffice breaks some lines elsewhere.
"""
import os
import re
import shutil
import subprocess
import sys
import tempfile
import zipfile
from collections import Counter

LEAST_PT, HIGHER_MOST = 7.0, 1.4


def office(folder, kind, path):
    out = os.path.join(folder, kind)
    subprocess.run(["soffice", "-env:UserInstallation=file://" + os.path.join(folder, "office"), "--headless", "--convert-to",
                    kind, "--outdir", out, path], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
    return os.path.join(out, os.path.splitext(os.path.basename(path))[0] + "." + kind)


def text_of(pdf, *options):
    return subprocess.run(["pdftotext", *options, pdf, "-"], stdout=subprocess.PIPE, check=True, text=True).stdout


def area(sheet):
    """Rows and columns that are printed, or None."""
    where = sheet.print_area if isinstance(sheet.print_area, str) else (sheet.print_area or [""])[0]
    m = re.search(r"\$([A-Z]+)\$([0-9]+):\$([A-Z]+)\$([0-9]+)$", where)
    if not m or m.group(1) == m.group(3) == "XFD":
        return None
    from openpyxl.utils import column_index_from_string
    return int(m.group(2)), column_index_from_string(m.group(1)), int(m.group(4)), column_index_from_string(m.group(3))


def printed_rows(sheet):
    box = area(sheet)
    hidden = {c for d in sheet.column_dimensions.values() if d.hidden for c in range(d.min, d.max + 1)}
    for r in range(box[0], box[2] + 1) if box else ():
        if not sheet.row_dimensions[r].hidden:
            yield r, [sheet.cell(r, c) for c in range(box[1], box[3] + 1) if c not in hidden]


def letters(text):
    return Counter(c for c in text if c.isalnum())


def check_pages(pdf, most):
    pages = text_of(pdf, "-layout").split("\f")[:-1]
    if len(pages) > most:
        yield f"{len(pages)} pages, at most {most}"
    for i, page in enumerate(pages, 1):
        lines = [line.strip() for line in page.split("\n") if line.strip()]
        if "###" in page:
            yield f"page {i}: a number is wider than its column"
        if len(lines) < 2 or lines[-2] == "What the words mean":
            yield f"page {i}: a heading alone at its foot"
    sizes = [float(y1) - float(y0) for y0, y1 in re.findall(r'<word [^>]*yMin="([0-9.]+)"[^>]*yMax="([0-9.]+)"',
                                                            text_of(pdf, "-bbox"))]
    box_of_type = 1.3  # heights of letters' boxes and of the type, of the fonts in use
    if sizes and min(sizes) < LEAST_PT * box_of_type - 0.15:
        yield f"type of {min(sizes) / box_of_type:.1f} points"


def check_text(book, pdf):
    """Letter by letter: lines of neighbouring cells stand between each other in the text of a page."""
    there, wanted = letters(text_of(pdf)), Counter()
    for sheet in book.worksheets:
        for _, cells in printed_rows(sheet):
            for cell in cells:
                if isinstance(cell.value, str):
                    wanted += letters(cell.value)
    lost = wanted - there
    if lost:
        yield f"letters of cells that are not in the print: {dict(lost)}"


def check_cut(path):
    """A text that is not broken into lines ends where the next cell that is filled begins. LibreOffice breaks the text of a
    jump into no lines, where it is no formula."""
    import openpyxl
    for sheet in openpyxl.load_workbook(path).worksheets:
        width = {c: d.width for d in sheet.column_dimensions.values() for c in range(d.min, d.max + 1)}
        for _, cells in printed_rows(sheet):
            for cell, beside in zip(cells, cells[1:]):
                if cell.data_type == "s" and cell.border.left.style and not cell.alignment.wrap_text and \
                        beside.value is not None and len(cell.value) > 1.4 * width[cell.column]:
                    yield f"{sheet.title}!{cell.coordinate}: {cell.value[:40]!r} is cut"
                if cell.hyperlink and cell.data_type != "f" and cell.alignment.wrap_text and \
                        len(str(cell.value)) > 1.2 * width[cell.column]:  # letters are narrower than digits
                    yield f"{sheet.title}!{cell.coordinate}: the jump {cell.value!r} is cut"


def heights(path):
    """By part and row, in points."""
    out = {}
    with zipfile.ZipFile(path) as z:
        for part in z.namelist():
            if re.fullmatch(r"xl/worksheets/sheet[0-9]+\.xml", part):
                for tag in re.findall(r"<row [^>]*>", z.read(part).decode()):
                    row, height = re.search(r' r="([0-9]+)"', tag), re.search(r' ht="([0-9.]+)"', tag)
                    if height:
                        out[part, int(row.group(1))] = float(height.group(1))
    return out


def altered(path, copy, part_name, change):
    with zipfile.ZipFile(path) as z, zipfile.ZipFile(copy, "w", zipfile.ZIP_DEFLATED) as out:
        for part in z.namelist():
            data = z.read(part)
            out.writestr(part, change(data.decode()).encode() if re.fullmatch(part_name, part) else data)


def own_heights(path, folder):
    """LibreOffice finds heights of rows in its own format alone, and there of rows that have none."""
    bare, free = os.path.join(folder, "bare.xlsx"), os.path.join(folder, "free.ods")
    altered(path, bare, r"xl/worksheets/sheet.*", lambda x: re.sub(r'(<row [^>]*?) ht="[0-9.]+" customHeight="1"', r"\1", x))
    altered(office(folder, "ods", bare), free, "content.xml",
            lambda x: re.sub('style:row-height="[^"]*"', "",
                             x.replace('use-optimal-row-height="false"', 'use-optimal-row-height="true"')))
    return heights(office(folder, "xlsx", free))


def check_heights(book, path, folder):
    given, own = heights(path), own_heights(path, folder)
    ours = theirs = 0
    for i, sheet in enumerate(book.worksheets, 1):
        part = f"xl/worksheets/sheet{i}.xml"
        for row, cells in printed_rows(sheet):
            wrapped = [c for c in cells if isinstance(c.value, str) and c.alignment.wrap_text]
            if not wrapped or (part, row) not in own:
                continue
            a, b = given.get((part, row), sheet.sheet_format.defaultRowHeight), own[part, row]
            ours, theirs = ours + a, theirs + b
            head = all(c.font.b for c in wrapped)  # bold type is wider where it is laid out for a screen
            if a < b - (15 if head else 1):
                yield f"{sheet.title}: row {row} is {a} pt high, its texts need {b}: {wrapped[-1].value[:40]!r}"
    if theirs == 0 or ours > HIGHER_MOST * theirs:
        yield f"rows are {ours:.0f} pt high in all, LibreOffice needs {theirs:.0f}"
    print(f"rows of wrapped texts: {ours:.0f} pt, by LibreOffice {theirs:.0f} pt")


def main():
    try:
        import openpyxl
    except ImportError:
        print("SKIPPED ALOUD: python3-openpyxl is not installed")
        return 77
    if sys.argv[2] == "--cells":
        faults = list(check_cut(sys.argv[1]))
        print("\n".join(faults[:60]))
        return 1 if faults else 0
    for tool in ("soffice", "pdftotext", "fc-match"):
        if not shutil.which(tool):
            print(f"SKIPPED ALOUD: {tool} is not installed, no workbook was printed")
            return 77
    face = subprocess.run(["fc-match", "-f", "%{family[0]}", "Arial"], capture_output=True, text=True, check=True).stdout
    if face != "Nimbus Sans":
        print(f"SKIPPED ALOUD: Arial is set in {face} here and not in Nimbus Sans, no workbook was printed")
        return 77
    path, most = sys.argv[1], int(sys.argv[2])
    with tempfile.TemporaryDirectory() as folder:
        book = openpyxl.load_workbook(path, data_only=True)
        pdf = office(folder, "pdf", path)
        faults = [*check_pages(pdf, most), *check_text(book, pdf), *check_cut(path),
                  *check_heights(book, path, folder)]
    print("\n".join(faults[:60]))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
