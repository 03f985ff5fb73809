#!/usr/bin/python3
"""Reads a submittal back by other people's programs and holds it against report.json of the same revision.

    check-submittal.py SUBMITTAL.pdf REPORT.json [--zones N]

pdfinfo counts pages and gives the properties, pdftotext the text, qpdf the structure, bookmarks and links. Every fact that
both files tell is compared: outcome of the job and of each zone, number of findings, their texts, the register, the means
of the film, the inputs' SHA-256. Links and bookmarks must lead to a page; each figure has its words. Exit: 0; 1 with what
differs; 77 where a program is missing.
"""
import json
import re
import shutil
import subprocess
import sys

wrong = []


def check(good, text):
    if not good:
        wrong.append(text)


def run(*words):
    return subprocess.run(words, capture_output=True, text=True, errors="replace").stdout


def squeeze(text):
    """Line breaks may fall anywhere in a long word: blanks and hyphens of layout do not count."""
    return re.sub(r"\s+", "", text)


def pages_of(pdf):
    text = run("pdftotext", "-raw", pdf, "-")
    return text.split("\f")[:-1]


def body_of(page, number):
    """Head and foot come first in a page's text, and end with its number."""
    return page.split(number, 1)[-1]


def check_facts(pages, report, zones_shown):
    flat = squeeze("".join(pages))
    names = [z["name"] for z in report["zones"] if z["name"] and "\\x" not in z["name"]]
    check(squeeze("Outcome of the job: " + report["outcome"]) in flat, "outcome of the job")
    counts = report["zones_by_outcome"]
    n = len(report["zones"])
    check(squeeze("%d zone" % n) in flat, "number of zones")
    check(squeeze("%d not shown" % counts["not shown"]) in flat, "zones not shown")
    findings = len(report["findings"])
    check(squeeze("%d finding" % findings) in flat, "number of findings")
    if zones_shown is not None:
        return
    for i, f in enumerate(report["findings"]):
        check(squeeze("%d. %s:" % (i + 1, f["severity"] if "severity" in f else f["gravity"])) in flat,
              "finding %d is not there" % (i + 1))
        if "\\" not in f["what"]:
            check(squeeze(f["what"]) in flat, "finding %d: %s" % (i + 1, f["what"]))
    for t in report["tables"]:
        if t["id"] == "non-conformances" and t["rows_given"]:
            for row in t["rows"]:
                check(squeeze(row[0]) in flat, "register: %s" % row[0])
    listed = any(t["id"] == "inputs" for t in report["tables"])
    for source in report["inputs"]:
        if source["sha256"] and listed:
            check(source["sha256"] in flat, "SHA-256 of %s" % source["path"])
    check(len(names) == 0 or squeeze(names[0]) in flat, "name of the first zone")


def check_zones(pages, report):
    """The row of each zone in the overview, in order; then the same outcome, mean and count on the zone's own page."""
    start = next((i for i, p in enumerate(pages) if "Verdict by zone" in p and i > 0 and "Contents" not in p[:200]), None)
    end = next((i for i, p in enumerate(pages) if i > (start or 0) and "Open points" in p[:200]), len(pages))
    check(start is not None, "no overview")
    if start is None:
        return
    overview = squeeze("".join(pages[start:end]))
    at = 0
    for z in report["zones"]:
        if not z["name"] or not z["name"].isascii() or not z["name"].isprintable():
            continue
        key = squeeze(z["name"] + z["outcome"])
        found = overview.find(key, at)
        check(found >= 0, "overview: %s %s" % (z["name"], z["outcome"]))
        at = max(at, found)
        own = [p for p in pages[end:] if squeeze(p.replace("Zones\n", ""))[:600].find(squeeze(z["name"] + "\nOutcome")) >= 0]
        check(own, "no page of %s" % z["name"])
        if own:
            text = squeeze(own[0])
            check(text.count(squeeze(z["outcome"])) > 0, "page of %s: outcome" % z["name"])
            unit = "mil" if "Mean,mil" in text else "um"
            if z["film"] and z["film"]["mean_um"] is not None and ("Mean,mil" in text or "Mean,µm" in text):
                mean = z["film"]["mean_um"] / (25.4 if unit == "mil" else 1)
                shown = "%.2f" % mean if unit == "mil" else "%.1f" % mean
                check(shown in text, "page of %s: mean %s" % (z["name"], shown))
                check(str(z["film"]["readings"]) in text, "page of %s: readings" % z["name"])


def objects_of(pdf):
    text = subprocess.run(["qpdf", "--json=2", "--json-key=qpdf", pdf], capture_output=True)
    data = json.loads(text.stdout or b"{}") if text.returncode in (0, 3) else {}
    if "qpdf" not in data:  # older: objects by number
        data = json.loads(subprocess.run(["qpdf", "--json=1", "--json-key=objects", pdf], capture_output=True).stdout)
        return data["objects"]
    return {k[4:] if k.startswith("obj:") else k: v.get("value", v.get("stream", {}).get("dict")) for k, v in
            data["qpdf"][1].items()}


def names_in(objects, node):
    """Names of a name tree with what they stand for."""
    node = objects.get(node, node) if isinstance(node, str) else node
    out = {}
    pairs = (node or {}).get("/Names", [])
    for i in range(0, len(pairs) - 1, 2):
        out[pairs[i].removeprefix("u:")] = pairs[i + 1]
    for kid in (node or {}).get("/Kids", []):
        out.update(names_in(objects, kid))
    return out


def target(objects, node, pages, dests):
    dest = node.get("/Dest") or (objects.get(node["/A"], node["/A"]) if isinstance(node.get("/A"), str) else
                                 node.get("/A", {})).get("/D")
    if isinstance(dest, str):
        name = dest.removeprefix("u:")
        dest = dests.get(name)
        dest = objects.get(dest, dest) if isinstance(dest, str) else dest
        dest = dest.get("/D") if isinstance(dest, dict) else dest
    return isinstance(dest, list) and dest and dest[0] in pages


def check_structure(pdf, n_pages):
    objects = objects_of(pdf)
    trailer = objects.get("trailer", {})
    root = objects[trailer["/Root"]]
    pages = {k for k, v in objects.items() if isinstance(v, dict) and v.get("/Type") == "/Page"}
    check(len(pages) == n_pages, "%d page objects, %d pages" % (len(pages), n_pages))
    names = objects.get(root.get("/Names"), root.get("/Names")) or {}
    dests = names_in(objects, names.get("/Dests", {}))
    links = [v for v in objects.values() if isinstance(v, dict) and v.get("/Subtype") == "/Link"]
    check(len(links) > 5, "%d links" % len(links))
    for link in links:
        check(target(objects, link, pages, dests), "a link leads nowhere: %s" % link)
    marks = [v for v in objects.values() if isinstance(v, dict) and "/Title" in v and "/Parent" in v]
    check(len(marks) >= 9, "%d bookmarks" % len(marks))
    for mark in marks:
        check(target(objects, mark, pages, dests), "a bookmark leads nowhere: %s" % mark.get("/Title"))
    elements = [v for v in objects.values() if isinstance(v, dict) and v.get("/Type") == "/StructElem"]
    kinds = {}
    for e in elements:
        kinds[e["/S"]] = kinds.get(e["/S"], 0) + 1
    for kind in ("/H1", "/H2", "/P", "/Table", "/TR", "/TH", "/TD", "/Link", "/TOCI"):
        check(kinds.get(kind, 0) > 0, "no element %s" % kind)
    check(root.get("/StructTreeRoot"), "no structure tree")
    check((root.get("/MarkInfo") or {}).get("/Marked") is True, "not marked as tagged")
    check(root.get("/Lang"), "no language")
    for e in elements:
        if e["/S"] == "/Figure":
            check(len(str(e.get("/Alt", ""))) > 5, "a figure without alternative text")
    fonts = [v for v in objects.values() if isinstance(v, dict) and v.get("/Type") == "/FontDescriptor"]
    check(fonts, "no font")
    for f in fonts:
        check(any(k.startswith("/FontFile") for k in f), "a font is not embedded: %s" % f.get("/FontName"))
        check("+" in f.get("/FontName", ""), "a font is embedded whole: %s" % f.get("/FontName"))
    return len(links), len(marks), kinds


def main():
    for tool in ("pdfinfo", "pdftotext", "qpdf"):
        if not shutil.which(tool):
            print("SKIPPED ALOUD: %s is not there" % tool)
            sys.exit(77)
    pdf, report_path = sys.argv[1], sys.argv[2]
    shown = int(sys.argv[sys.argv.index("--zones") + 1]) if "--zones" in sys.argv else None
    with open(report_path, encoding="utf-8") as f:
        report = json.load(f)
    info = dict(line.split(":", 1) for line in run("pdfinfo", pdf).splitlines() if ":" in line)
    n_pages = int(info.get("Pages", "0"))
    pages = pages_of(pdf)
    check(n_pages == len(pages), "pdfinfo counts %d pages, pdftotext %d" % (n_pages, len(pages)))
    check(info.get("Tagged", "").strip() == "yes", "pdfinfo: not tagged")
    for key in ("Title", "Author", "CreationDate"):
        check(info.get(key, "").strip() != "", "no %s" % key)
    checked = subprocess.run(["qpdf", "--check", pdf], capture_output=True, text=True)
    check(checked.returncode == 0, "qpdf --check: %s" % (checked.stdout + checked.stderr).strip()[-300:])
    for i, page in enumerate(pages):
        check("page %d of %d" % (i + 1, n_pages) in page, "page %d does not say which it is" % (i + 1))
    pages = [body_of(page, "page %d of %d" % (i + 1, n_pages)) for i, page in enumerate(pages)]
    check_facts(pages, report, shown)
    if shown is None:
        check_zones(pages, report)
    links, marks, kinds = check_structure(pdf, n_pages)
    if wrong:
        print("\n".join(wrong[:40]))
        sys.exit(1)
    print("%d pages, %d links, %d bookmarks, %s" % (n_pages, links, marks, ", ".join(
        "%s %d" % (k[1:], v) for k, v in sorted(kinds.items()))))


if __name__ == "__main__":
    main()
