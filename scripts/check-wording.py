#!/usr/bin/env python3
"""A workbook in the words of a wording: firm, logo, sign-off, and every heading of every sheet.

    scripts/check-wording.py WORKBOOK WORDING LOGO

WORDING is the file that the job names, LOGO the size that its logo may take at most, "150x60" points. Exit 0: good. 1:
faults, one a line. 77: openpyxl is not installed.
"""
import re
import sys
import zipfile

HEAD_FILL = "FFE6E6E6"


def read_wording(path):
    cover, headings, section = {}, {}, None
    with open(path, encoding="utf-8") as f:
        for line in f.read().split("\n"):
            if line.startswith("["):
                section = headings if line == "[headings]" else cover
            elif " = " in line and not line.startswith("#"):
                key, value = line.split(" = ", 1)
                section[key] = value
    return cover, headings


def is_printed(text, words):
    """The text is a word, with the unit, offset or number that a column adds."""
    return any(text == w or text.startswith((w + ", ", w + " (")) for w in words)


def faults_of(book, cover, headings):
    words = set(headings.values())
    for sheet in book.worksheets:
        title = sheet["A1"].value
        if sheet.title == "Verdict":
            if not title.startswith(cover["title"] + ": "):
                yield f"Verdict: {title!r}"
        elif not sheet.title.startswith("Zone pages") and not is_printed(title, words):
            yield f"{sheet.title}: its heading is {title!r}"
        for row in sheet.iter_rows(max_row=60):
            for cell in row:
                if cell.value and cell.font.b and cell.fill.fgColor.rgb == HEAD_FILL and not is_printed(cell.value, words):
                    yield f"{sheet.title}: column {cell.value!r}"
    verdict = [c for r in book["Verdict"].iter_rows(values_only=True) for c in r if c]
    signed = [c for r in book["Sign-off"].iter_rows(values_only=True) for c in r if c]
    for what, where, text in (("firm", verdict, cover["firm"]), ("address", verdict, cover["address"]),
                              ("firm", signed, cover["firm"])):
        if text not in where:
            yield f"{what} is not there"
    for role in cover["roles"].split(", "):
        if role not in signed and role.split(",")[0] not in signed:
            yield f"{role} does not sign"
    for key in ("statement", "sign off"):
        if re.sub(r"\s+", "", cover[key]) not in re.sub(r"\s+", "", "".join(str(c) for c in signed)):
            yield f"the {key} is not on the sign-off"
    if book.properties.creator != cover["author"]:
        yield f"author {book.properties.creator!r}"
    if not all(headings["page"] in (s.oddFooter.right.text or "") for s in book.worksheets):
        yield "a footer in other words"


def logo_faults(path, logo):
    """The picture with the words "logo ..." on the first sheet, as large as fits."""
    wide, high = (float(v) for v in logo.split("x"))
    with zipfile.ZipFile(path) as z:
        rels = z.read("xl/worksheets/_rels/sheet1.xml.rels").decode()
        found = re.search(r"drawings/(drawing[0-9]+\.xml)", rels)
        text = z.read("xl/drawings/" + found.group(1)).decode() if found else ""
    size = re.search(r'descr="logo [^"]*".*?<a:ext cx="([0-9]+)" cy="([0-9]+)"', text, re.S)
    if not size:
        yield "no logo"
        return
    w, h = (int(v) / 12700 for v in size.groups())
    if not (w <= wide + 1 and h <= high + 1 and (w >= wide - 1 or h >= high - 1)):
        yield f"the logo is {w:.1f} by {h:.1f} points"


def main():
    try:
        import openpyxl
    except ImportError:
        print("SKIPPED ALOUD: python3-openpyxl is not installed")
        return 77
    faults = list(faults_of(openpyxl.load_workbook(sys.argv[1]), *read_wording(sys.argv[2])))
    faults += logo_faults(sys.argv[1], sys.argv[3])
    print("\n".join(faults[:40]))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
