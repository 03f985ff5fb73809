#!/usr/bin/env python3
"""Two sheets of a workbook, Full and Lean, hold the same values and formulas; Lean shares formulas and takes less.

    scripts/check-lean.py WORKBOOK

Exit 0: good. 1: faults. 77: openpyxl is not installed.
"""
import sys
import zipfile


def main():
    try:
        import openpyxl
    except ImportError:
        print("python3-openpyxl is not installed")
        return 77
    for data_only in (False, True):
        book = openpyxl.load_workbook(sys.argv[1], data_only=data_only)
        full, lean = (list(book[name].iter_rows(values_only=True)) for name in ("Full", "Lean"))
        if full != lean or len(full) < 1000:
            differ = [(a, b) for a, b in zip(full, lean) if a != b][:3]
            print(f"{len(full)} rows of Full and {len(lean)} of Lean differ, data_only={data_only}: {differ}")
            return 1
    with zipfile.ZipFile(sys.argv[1]) as z:
        texts = [z.read(f"xl/worksheets/sheet{n}.xml") for n in (1, 2)]
    shared, masters = texts[1].count(b'<f t="shared" si='), texts[1].count(b"ref=")
    if shared < 2500 or len(texts[1]) > 0.98 * len(texts[0]) or masters > 10:
        print(f"{len(texts[0])} and {len(texts[1])} bytes, {shared} formulas refer to {masters}")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
