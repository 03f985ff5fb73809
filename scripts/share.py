#!/usr/bin/env python3
"""A sweep over a share of many jobs, of which some are hostile; then the sweep again, unchanged, changed, and killed.

    scripts/share.py MILRISE [JOBS] [SECONDS]

Every ordinary job must be reported and right by its own numbers, nothing outside the reports, answers and the roll-up may
change, unchanged jobs must not be reported again and take less than 2 s for 1000 of them, and after ten sweeps that were
killed at some moment the next one must leave every report as a clean run over the same files does. Then two sweeps and a
watcher work on the share at once for SECONDS (default 20), while files change: no job may be reported twice at the same
time, none be left behind. The last line counts jobs and faults. Exit 0: no fault. 1: faults, one a line.
"""
import hashlib
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time

JOB = "[job]\nname = Quay {n}\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 400 um\nrules = plain-limits\n"


def write(path, text):
    os.makedirs(os.path.dirname(path), exist_ok=True)
    with open(path, "w", encoding="utf-8") as f:
        f.write(text)


def gauge(n, low):
    """Fifteen spots of three, all inside the limits but for one where low is true; what must come of it is known."""
    rows = ["Date,Time,Zone,Area,Spot,Reading (um)"]
    for spot in range(1, 16):
        for k in range(3):
            value = 150 if low and spot == 7 else 240 + (n + spot * 7 + k) % 100
            rows.append(f"2026-05-11,{9 + spot // 6:02d}:{spot % 6 * 9 + k:02d}:00,Deck,{(spot + 4) // 5},{spot},{value}")
    return "\n".join(rows) + "\n"


def ordinary(root, n, low):
    folder = os.path.join(root, f"site {n % 7}", f"job {n:04d}")
    write(os.path.join(folder, "job.milrise"), JOB.format(n=n))
    write(os.path.join(folder, "zones.csv"), "Zone,Area (m2),Coats\nDeck,10,1\n")
    write(os.path.join(folder, "gauge.csv"), gauge(n, low))
    return folder


def hostile(root, n, rng):
    folder = os.path.join(root, f"site {n % 7}", f"trap {n:04d}")
    write(os.path.join(folder, "job.milrise"), JOB.format(n=n))
    kind = n % 12
    if kind == 0:
        write(os.path.join(folder, "job.milrise"), "[job\nname\n")
    elif kind == 1:
        os.mkfifo(os.path.join(folder, "pipe.csv"))
    elif kind == 2:
        os.symlink("../../kept", os.path.join(folder, "reports"))
    elif kind == 3:
        with open(os.path.join(folder, "noise.csv"), "wb") as f:
            f.write(rng.randbytes(200000))
    elif kind == 4:
        os.symlink("/dev/zero", os.path.join(folder, "zero.csv"))
    elif kind == 5:
        write(os.path.join(folder, "reports", "revision-0", "report.json"), "{}")
        os.symlink("../../../kept", os.path.join(folder, "reports", "latest"))
    elif kind == 6:
        write(os.path.join(folder, "wide.csv"), ",".join(map(str, range(10000))) + "\n")
    elif kind == 7:
        write(os.path.join(folder, "reports", ".state"), "[" * 100000)
    elif kind == 8:  # 64 GiB of zeros that take no room
        with open(os.path.join(folder, "hole.csv"), "wb") as f:
            f.truncate(1 << 36)
    elif kind == 9:
        os.makedirs(os.path.join(folder, "reports"))
        os.mkfifo(os.path.join(folder, "reports", ".state"))
        os.mkfifo(os.path.join(folder, "reports", ".lock"))
    elif kind == 10:
        os.remove(os.path.join(folder, "job.milrise"))
        os.mkfifo(os.path.join(folder, "job.milrise"))
    else:
        os.symlink("/proc/kmsg", os.path.join(folder, "endless.csv"))
        os.symlink("..", os.path.join(folder, "loop"))
    return folder


def snapshot(root):
    found = {}
    for folder, folders, names in os.walk(root):
        folders[:] = [f for f in folders if f not in ("reports", "roll-up")]
        for name in names:
            path = os.path.join(folder, name)
            if name.startswith("answer.") or os.path.islink(path) or not os.path.isfile(path):
                continue
            with open(path, "rb") as f:  # of the file that is nearly all hole, the beginning
                found[path] = os.path.getsize(path), hashlib.sha256(f.read(1 << 24)).hexdigest()
    return found


def outcome(folder):
    with open(os.path.join(folder, "reports", "latest", "report.json"), encoding="utf-8") as f:
        zone = json.load(f)["zones"][0]
    return zone["outcomes"]["thickness"], zone["film"]["mean_um"]


def mean_of(folder):
    with open(os.path.join(folder, "gauge.csv"), encoding="utf-8") as f:
        values = [int(line.rsplit(",", 1)[1]) for line in f.read().split("\n")[1:] if line]
    return sum(values) / len(values)


def judge(jobs, when):
    faults = []
    for folder in jobs:
        try:
            _, mean = outcome(folder)
            if abs(mean - mean_of(folder)) > 1e-6:
                faults.append(f"{when}: {folder}: the report is not of its files")
        except (OSError, ValueError, StopIteration, TypeError) as e:
            faults.append(f"{when}: {folder}: {e}")
    return faults


def facts(folder):
    """What a report says, but for its number and its memory of former ones."""
    with open(os.path.join(folder, "reports", "latest", "report.json"), encoding="utf-8") as f:
        report = json.load(f)
    for key in ("revision", "outputs", "date", "job"):
        report.pop(key)
    for figure in report["figures"]:
        for key in ("since_revision", "created"):
            figure.pop(key)
    report["findings"] = [f for f in report["findings"] if f["id"] != "non-conformance-gone"]
    report["tables"] = [t for t in report["tables"] if t["id"] not in ("revision-history", "non-conformances", "changes")]
    return report


def as_a_clean_run(program, work, jobs, when):
    """Each of the jobs beside a report made from nothing but its files."""
    faults = []
    for folder in jobs:
        clean = os.path.join(work, "clean", os.path.basename(folder))
        shutil.rmtree(clean, ignore_errors=True)
        shutil.copytree(folder, clean, ignore=shutil.ignore_patterns("reports", "answer.*"))
        done = subprocess.run([program, "report", "--quiet", clean], capture_output=True, check=False)
        if done.returncode > 1 or facts(folder) != facts(clean):
            faults.append(f"{when}: {folder}: not the report of a clean run")
    return faults


def folder_of(pid):
    """The job that a process reports on; None where it is no report, or is gone."""
    try:
        with open(f"/proc/{pid}/cmdline", "rb") as f:
            words = f.read().split(b"\0")
        with open(f"/proc/{pid}/stat", encoding="utf-8") as f:
            parent = int(f.read().rsplit(")", 1)[1].split()[1])
    except (OSError, ValueError, IndexError):
        return None
    return (parent, words[-2]) if words[:2] == [b"milrise", b"report"] else None


def twice_at_once(root):
    """Jobs on which two reports work at this moment. A report is a process and its child."""
    found = {pid: folder_of(pid) for pid in os.listdir("/proc") if pid.isdigit()}
    of = {}
    for pid, report in found.items():
        if report and report[1].startswith(root.encode()) and not found.get(str(report[0])):
            of.setdefault(report[1], []).append(pid)
    twice = {folder: pids for folder, pids in of.items() if len(pids) > 1}
    # looked at one by one: each must still be there
    return [f.decode(errors="replace") for f, pids in twice.items() if sum(folder_of(p) is not None for p in pids) > 1]


def sweep(program, root, *more):
    started = time.monotonic()
    done = subprocess.run([program, "sweep", "--time", "30", *more, root], capture_output=True, text=True, check=False)
    return done.returncode, done.stdout.strip().split("\n")[-1], time.monotonic() - started


def at_once(program, root, jobs, rng, seconds):
    """Two sweeps after each other's heels and a watcher, while files change."""
    faults = []
    watcher = subprocess.Popen([program, "watch", "--quiet", "--settle", "1", root], start_new_session=True,
                               stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    end, sweeps, looks = time.time() + seconds, [None, None], 0
    while time.time() < end:
        for i, running in enumerate(sweeps):
            if running is None or running.poll() is not None:
                if running is not None and running.returncode not in (0, 1, 2, 3, 4):
                    faults.append(f"at once: a sweep left with {running.returncode}")
                sweeps[i] = subprocess.Popen([program, "sweep", "--quiet", root], stdout=subprocess.DEVNULL,
                                             stderr=subprocess.DEVNULL)
        folder = rng.choice(jobs)
        write(os.path.join(folder, "gauge.csv"), gauge(rng.randrange(1000), rng.random() < 0.5))
        until = time.time() + rng.random()
        while time.time() < until:
            faults += [f"at once: {job}: two reports at the same time" for job in twice_at_once(root)]
            looks += 1
            time.sleep(0.05)
    for running in sweeps:
        if running.wait() not in (0, 1, 2, 3, 4):
            faults.append(f"at once: a sweep left with {running.returncode}")
    print(f"two sweeps and a watcher for {seconds} s: looked {looks} times for two reports on one job")
    watcher.send_signal(signal.SIGTERM)
    if watcher.wait(120) != 0:
        faults.append("at once: the watcher did not end in order")
    return faults


def main():
    program = os.path.abspath(sys.argv[1])
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    seconds = int(sys.argv[3]) if len(sys.argv) > 3 else 20
    rng = random.Random(5)
    with tempfile.TemporaryDirectory() as work:
        root = os.path.join(work, "share")
        write(os.path.join(work, "share", "kept", "file"), "kept\n")
        traps = [hostile(root, n, rng) for n in range(max(count // 20, 12))]  # each kind at least once
        jobs = [ordinary(root, n, n % 3 == 0) for n in range(count - len(traps))]
        before = snapshot(root)
        status, line, first = sweep(program, root, "--quiet")
        faults = judge(jobs, "first sweep")
        for n, folder in enumerate(jobs):
            film, _ = outcome(folder)
            if (n % 3 == 0) != (film == "does not conform"):
                faults.append(f"first sweep: {folder}: film {film}")
        if status not in (2, 3, 4):
            faults.append(f"first sweep: status {status}")
        after = snapshot(root)
        faults += [f"first sweep: {p} changed" for p in sorted(before.keys() | after) if before.get(p) != after.get(p)]
        status, line, again = sweep(program, root)
        reported = int(line.split(" reported")[0].split()[-1])
        write(os.path.join(jobs[0], "gauge.csv"), gauge(3, True))
        _, line, one = sweep(program, root)
        if int(line.split(" reported")[0].split()[-1]) != reported + 1:
            faults.append(f"one changed job: {line}")
        if again > max(2, 2 * count / 1000) and not os.environ.get("SHARE_SLOW"):
            faults.append(f"unchanged jobs took {again:.2f} s")
        touched = set()
        for _ in range(10):
            for folder in rng.sample(jobs, 5):
                touched.add(folder)
                write(os.path.join(folder, "gauge.csv"), gauge(rng.randrange(1000), rng.random() < 0.5))
            running = subprocess.Popen([program, "sweep", "--quiet", root], start_new_session=True)
            time.sleep(rng.random() * (2 * again + 1))
            running.kill()
            running.wait()
        sweep(program, root)
        faults += judge(jobs, "after ten kills")
        faults += as_a_clean_run(program, work, sorted(touched), "after ten kills")
        faults += at_once(program, root, jobs, rng, seconds)
        sweep(program, root)
        faults += judge(jobs, "after all at once")
    for fault in faults:
        print(fault)
    print(f"first sweep {first:.1f} s, again {again:.2f} s with {reported} reported again, one changed {one:.2f} s")
    print(f"{count} jobs, {len(traps)} of them hostile, 10 sweeps killed, {seconds} s of all at once, {len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
