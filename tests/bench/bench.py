#!/usr/bin/python3
"""Whole jobs measured against the bare libraries and a script, in turns; see `make bench`.

bench.py BUILD OUT SIZE...

For each size: the job is generated once under BUILD/bench; then, RUNS times in turn, milrise with and without
figures, the floors (libcsv with empty callbacks; libxlsxwriter with as many cells of each kind; cairo with as many
figures of as many points) and the peer script where its packages are there. Medians of wall seconds, processor
seconds (user + system) and peak memory of the largest process; ratios; shares of the stages; growth between sizes.
Nothing here fails a build: it measures. On a machine that does other work too, trust the processor seconds.
"""
import os
import platform
import re
import shutil
import statistics
import subprocess
import sys
import time
import zipfile

BUILD, OUT, SIZES = sys.argv[1], sys.argv[2], sys.argv[3:]  # or --count WORKBOOK
ROOT = f"{BUILD}/bench"
PEER_FIGURES = int(os.environ.get("PEER_FIGURES", "24"))
lines = []


def say(text=""):
    print(text, flush=True)
    lines.append(text)


def run(argv, feed=None, good=(0,)):
    """wall s, processor s, peak MiB, what was printed."""
    t0 = time.monotonic()
    p = subprocess.Popen(argv, stdin=subprocess.PIPE if feed else subprocess.DEVNULL, stdout=subprocess.PIPE,
                         stderr=subprocess.DEVNULL)
    if feed:
        p.stdin.write(feed)
        p.stdin.close()
    printed = p.stdout.read().decode()
    _, status, usage = os.wait4(p.pid, 0)
    code = os.waitstatus_to_exitcode(status)
    p.returncode = code
    if code not in good:
        sys.exit(f"bench: {argv[0]} ended with {code}")
    return time.monotonic() - t0, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, printed


def peer_there():
    return subprocess.run(["/usr/bin/python3", "-c", "import pandas, xlsxwriter, matplotlib"],
                          stderr=subprocess.DEVNULL, check=False).returncode == 0


def sheets_of(book):
    """Counted by a process of its own: the peak of a child counts from what its parent held."""
    printed = run([sys.executable, __file__, "--count", book])[3]
    return [tuple(map(int, line.split())) for line in printed.splitlines()]


def count_sheets(book):
    """A line for each sheet: rows, numbers, texts, formulas, letters of a text."""
    out = []
    with zipfile.ZipFile(book) as z:
        for name in z.namelist():
            if not name.startswith("xl/worksheets/sheet"):
                continue
            xml = z.read(name)
            cells, formulas = len(re.findall(rb"<c r=", xml)), xml.count(b"<f")
            texts = re.findall(rb"<t(?: xml:space=\"preserve\")?>([^<]*)<", xml)
            letters = sum(map(len, texts)) // max(1, len(texts))
            blanks = xml.count(b'"/><c ') + xml.count(b'"/></row>')
            numbers = max(0, cells - formulas - len(texts) - blanks)
            out.append((xml.count(b"<row "), numbers + blanks, len(texts), formulas, letters))
    for sheet in out:
        print(*sheet)


def points_of(folder):
    """Figures, and line points of one in the mean."""
    svgs = [f for f in os.listdir(folder) if f.endswith(".svg")]
    some = svgs[:: max(1, len(svgs) // 40)]
    points = 0
    for f in some:
        with open(f"{folder}/{f}", encoding="utf-8") as svg:
            for path in re.findall(r' d="([^"]*)"', svg.read()):
                points += len(re.findall(r"-?(?:\d+\.?\d*|\.\d+)", path)) // 2
    return len(svgs), points // max(1, len(some))


class Case:
    def __init__(self, size):
        self.size, self.job = size, f"{ROOT}/{size}"
        if not os.path.exists(f"{self.job}/zones.csv"):
            run([f"{ROOT}/make_job", size, self.job])
        self.exports = sorted(f"{self.job}/{f}" for f in os.listdir(self.job) if re.match("(TG|HY|TL|PL)-", f))
        self.bytes = sum(os.path.getsize(f) for f in self.exports)
        self.got = {}

    def note(self, name, result):
        self.got.setdefault(name, []).append(result)

    def median(self, name, part):
        return statistics.median(r[part] for r in self.got[name]) if name in self.got else float("nan")

    def milrise(self, name, *options):
        out = f"{ROOT}/out-{self.size}-{name.replace(' ', '-')}"
        shutil.rmtree(out, ignore_errors=True)
        self.note(name, run([f"{BUILD}/milrise", "report", "-q", "-o", out, *options, self.job], good=(0, 1)))
        return f"{out}/latest"

    def turn(self, with_peer):
        latest = self.milrise("figures")
        plain = self.milrise("no figures", "-n")
        self.milrise("figures, 1 thread", "-t1")
        if not hasattr(self, "sheets"):
            book = [f for f in os.listdir(latest) if f.endswith(".xlsx")][0]
            self.sheets = sheets_of(f"{latest}/{book}")
            self.figures, self.points = points_of(f"{latest}/charts")
            self.book_bytes = os.path.getsize(f"{latest}/{book}")
            self.plain_bytes = max(os.path.getsize(f"{plain}/{f}") for f in os.listdir(plain) if f.endswith(".xlsx"))
        self.note("libcsv", run([f"{ROOT}/floor_read", *self.exports]))
        feed = "".join("%d %d %d %d %d\n" % s for s in self.sheets).encode()
        self.note("libxlsxwriter", run([f"{ROOT}/floor_book", f"{ROOT}/floor.xlsx"], feed=feed))
        scratch = f"{ROOT}/floor-figures"
        shutil.rmtree(scratch, ignore_errors=True)
        os.makedirs(scratch)
        few = min(self.figures, 100)
        r = run([f"{ROOT}/floor_figures", scratch, str(few), str(self.points)])
        part = self.figures / few if few else 0
        self.note("cairo", (r[0] * part, r[1] * part, r[2], ""))
        shutil.rmtree(scratch)
        if with_peer:
            self.peer("peer, same outputs", self.figures, "png,svg,pdf")
            self.peer("peer, default", 50, "png")
            if self.size != "large":
                self.peer("peer, plain", 50, "png", "--plain")

    def peer(self, name, figures, formats, *options):
        """Beyond PEER_FIGURES the figures' share is scaled up by their number: they cost alike."""
        drawn = min(figures, PEER_FIGURES if figures > 50 else figures)
        out = f"{ROOT}/out-peer"
        r = run(["/usr/bin/python3", "tests/bench/peer.py", self.job, out, "--figures", str(drawn), "--formats", formats,
                 *options])
        shutil.rmtree(out)
        stage = dict(line.split() for line in r[3].splitlines())
        number = int(float(stage["drawn"]))
        more = float(stage["figures"]) * max(0, figures / number - 1) if figures > drawn and number else 0
        self.note(name, (r[0] + more, r[1] + more * r[1] / r[0], r[2], ""))

    def shares(self):
        out = f"{ROOT}/out-stages"
        shutil.rmtree(out, ignore_errors=True)
        printed = run([f"{ROOT}/stage_shares", self.job, out])[3]
        shutil.rmtree(out)
        return [(w[0], float(w[1]), float(w[2])) for w in map(str.split, printed.splitlines())]


def table(case):
    rows = sum(s[0] for s in case.sheets)
    cells = sum(s[1] + s[2] + s[3] for s in case.sheets)
    say(f"\n## {case.size}: {case.bytes / 1e6:.1f} MB in {len(case.exports)} files; {case.figures} figures in three "
        f"formats; workbook of {len(case.sheets)} sheets, {rows:,} rows, {cells:,} cells, "
        f"{case.book_bytes / 1e6:.1f} MB ({case.plain_bytes / 1e6:.1f} MB without figures)\n")
    say("| | wall s | processor s | peak MiB | runs |")
    say("|---|---|---|---|---|")
    for name, results in case.got.items():
        say(f"| {name} | {case.median(name, 0):.2f} | {case.median(name, 1):.2f} | {case.median(name, 2):.0f} | "
            f"{len(results)} |")
    floors = sum(case.median(n, 1) for n in ("libcsv", "libxlsxwriter", "cairo"))
    say()
    say(f"- milrise / sum of the floors, processor s: {case.median('figures', 1) / floors:.2f}")
    bare = case.median("libcsv", 1) + case.median("libxlsxwriter", 1)
    say(f"- without figures / (libcsv + libxlsxwriter), processor s: {case.median('no figures', 1) / bare:.2f}")
    say(f"- one thread / all threads, wall s: {case.median('figures, 1 thread', 0) / case.median('figures', 0):.2f}")
    say(f"- peak memory / input, without figures: {case.median('no figures', 2) * 1048576 / case.bytes:.2f}")
    for name in ("peer, same outputs", "peer, default", "peer, plain"):
        if name in case.got:
            say(f"- {name} / milrise with all figures: wall {case.median(name, 0) / case.median('figures', 0):.1f}, "
                f"processor s {case.median(name, 1) / case.median('figures', 1):.1f}; / milrise without: wall "
                f"{case.median(name, 0) / case.median('no figures', 0):.1f}")
    stages = case.shares()
    total = sum(s[1] for s in stages)
    say("- stages, processor s (share): " + ", ".join(f"{n} {c:.2f} ({100 * c / total:.0f} %)" for n, c, _ in stages))
    read = sum(s[1] for s in stages if s[0] in ("read", "normalise"))
    say(f"- reading (read + normalise) / libcsv, processor s: {read / case.median('libcsv', 1):.2f}")


def growth(cases):
    if len(cases) < 2:
        return
    say("\n## Growth\n")
    say("| from | to | input | processor s without figures | peak memory |")
    say("|---|---|---|---|---|")
    for a, b in zip(cases, cases[1:]):
        say(f"| {a.size} | {b.size} | {b.bytes / a.bytes:.1f} times | "
            f"{b.median('no figures', 1) / a.median('no figures', 1):.1f} times | "
            f"{b.median('no figures', 2) / a.median('no figures', 2):.1f} times |")


def main():
    with_peer = peer_there()
    runs = int(os.environ.get("RUNS", "0"))
    say("# Speed and memory, measured in one run")
    say(f"\n{time.strftime('%Y-%m-%d')}, {os.cpu_count()} processors ({platform.machine()}), load at the start "
        f"{os.getloadavg()[0]:.1f}. Medians of whole processes; floors of the figures, and the peer's beyond "
        f"{PEER_FIGURES}, are scaled up by number."
        + ("" if with_peer else " The peer script's packages are not installed here."))
    cases = []
    for size in SIZES:
        case = Case(size)
        for _ in range(runs or {"small": 5, "fair": 3}.get(size, 1)):
            case.turn(with_peer)
        table(case)
        cases.append(case)
    growth(cases)
    with open(OUT, "w", encoding="utf-8") as f:
        f.write("\n".join(lines) + "\n")


if BUILD == "--count":
    count_sheets(OUT)
else:
    main()
