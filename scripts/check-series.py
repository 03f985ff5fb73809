#!/usr/bin/python3
"""Every sample beside the workbook, held against the exports by a reader of its own.

    check-series.py JOB              the job folder, with reports/latest
    check-series.py --values JOB     without a look at report.json's list: so a test sees that the rest notices a change

Of each row of series/*.csv: the named line of the named export holds each value as read, to the digit (decimal point or
comma), and a clock whose minute and second are the row's (of exports without an offset to the site's: all of the sample's); the
value of the report is that value in its unit; UTC and the site's time are one moment; times rise. No row of an export stands
twice, and as many rows stand there as report.json says were used of the logs. Files are listed with their hash in
report.json.
Says how much was compared; nothing compared is a fault. Exit: 0; 1 with what differs.
"""
import csv
import datetime
import glob
import hashlib
import json
import os
import re
import sys

LOGS = ("climate", "temperature", "pressure")
# Into the canonical unit: factor and zero. Exact by definition, see units.h.
UNITS = {"°C": (1, 0), "°F": (5 / 9, 32), "kPa": (1, 0), "psi": (6.894757293168361, 0), "bar": (100, 0), "%": (1, 0),
         "MPa": (1000, 0), "fraction": (100, 0)}
FAULTS_MOST = 20


def lines_of(path, kept={}):
    if path not in kept:
        with open(path, "rb") as f:
            data = f.read()
        text = data.decode("utf-16") if data[:2] in (b"\xff\xfe", b"\xfe\xff") else data.decode("utf-8-sig", "replace")
        kept[path] = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return kept[path]


def numbers_of(line):
    """Numbers of a line, its cells parted by whatever they may be: a comma parts cells or fractions."""
    cells = [c for mark in (",", ";", "\t") for c in line.split(mark)]
    found = {re.match(r'[\s"]*(-?[0-9]+(?:[.,][0-9]+)?)', c) for c in cells}
    return {float(m.group(1).replace(",", ".")) for m in found if m}


def moment(text):
    return datetime.datetime.fromisoformat(text.replace("Z", "+00:00"))


def columns(head):
    """Channels: columns as read with their units, column of the report with its unit."""
    found, written = [], []
    for i, title in enumerate(head):
        m = re.fullmatch(r"(.*?)( as read)?, (\S+)", title)
        if not m or m.group(3) not in UNITS:
            continue
        if m.group(2):
            written.append((i, m.group(3)))
        else:
            found.append((m.group(1), written, (i, m.group(3))))
            written = []
    return found


class Check:
    def __init__(self, job, latest):
        self.job, self.latest, self.faults, self.values, self.seen = job, latest, [], 0, {}

    def fault(self, where, what):
        self.faults.append(f"{where}: {what}")

    def value(self, where, row, channel, there):
        name, written, (at, unit) = channel
        given = [(row[i], u) for i, u in written if row[i] != ""]
        if len(given) != (row[at] != ""):
            self.fault(where, f"{name} is {row[at]!r}, as read {given}")
        if not given or row[at] == "":
            return
        self.values += 1
        value, own = float(given[0][0]), given[0][1]
        if value not in there:
            self.fault(where, f"{name} as read, {value}, does not stand in the line")
        canonical = (value - UNITS[own][1]) * UNITS[own][0]
        if abs(canonical / UNITS[unit][0] + UNITS[unit][1] - float(row[at])) > 2e-9 * max(1, abs(value)):
            self.fault(where, f"{name} is {row[at]} {unit}, as read {value} {own}")

    def row(self, where, head, row, channels):
        file, line = row[head.index("File")], int(row[head.index("Line")])
        text = lines_of(os.path.join(self.job, file))[line - 1]
        utc, site = moment(row[0]), moment(row[1])
        if utc != site:
            self.fault(where, f"{row[0]} and {row[1]} are not one moment")
        if not re.search(site.strftime("%M[:.]%S|%M(?![0-9:])"), text):
            self.fault(where, f"{row[1]} does not stand in {file}:{line}, {text!r}")
        for channel in channels:
            self.value(where, row, channel, numbers_of(text))
        self.seen.setdefault(file, {}).setdefault(line, set()).add(os.path.basename(where.split(":")[0]))
        return utc

    def table(self, path):
        with open(path, encoding="utf-8-sig", newline="") as f:
            rows = list(csv.reader(f))
        head, last, channels = rows[0], None, columns(rows[0])
        if not channels:
            self.fault(path, "has no channel")
        for n, row in enumerate(rows[1:], 2):
            where = f"{path}:{n}"
            if len(row) != len(head):
                self.fault(where, "is ragged")
                continue
            utc = self.row(where, head, row, channels)
            if last is not None and utc <= last:
                self.fault(where, "times do not rise")
            last = utc

    def whole(self, report):
        """Each used row of a log stands there."""
        for i in report["inputs"]:
            n = len(self.seen.get(i["path"], {}))
            if i["kind"] in LOGS and n != i["rows_used"]:
                self.fault(i["path"], f"{i['rows_used']} rows used, {n} among the series")

    def listed(self, report):
        named = {o["path"]: o["sha256"] for o in report["outputs"]}
        for path in glob.glob(os.path.join(self.latest, "series", "*.csv")):
            name = os.path.relpath(path, self.latest)
            with open(path, "rb") as f:
                digest = hashlib.sha256(f.read()).hexdigest()
            if named.get(name) != digest:
                self.fault(name, "is not in report.json with its hash")


def main():
    job = sys.argv[-1]
    latest = os.path.join(job, "reports", "latest")
    check = Check(job, latest)
    with open(os.path.join(latest, "report.json"), encoding="utf-8") as f:
        report = json.load(f)
    for path in sorted(glob.glob(os.path.join(latest, "series", "*.csv"))):
        check.table(path)
    check.whole(report)
    if sys.argv[1] != "--values":
        check.listed(report)
    if not check.values:
        check.fault("series", "nothing was compared")
    print(f"{check.values} values in {sum(map(len, check.seen.values()))} rows compared, {len(check.faults)} faults")
    print("\n".join(check.faults[:FAULTS_MOST]))
    return 1 if check.faults else 0


if __name__ == "__main__":
    sys.exit(main())
