#!/usr/bin/env python3
"""A watcher over folders into which files are dropped, changed and removed for a long time, and which is killed now and then.

    scripts/soak.py MILRISE [DROPS] [SEED]

In the end the report of each job must equal the report of one clean run over the same files, and no file that was
dropped may have changed. Last line: the count of drops, kills and faults. Exit 0: no fault. 1: faults, one a line.
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

JOB = """[job]
name = Quay {n}
time zone = UTC
[thickness]
minimum = 200 um
maximum = 400 um
rules = plain-limits
"""


def readings(rng):
    lines = ["Date,Time,Zone,Spot,Reading (um)"]
    day = rng.randint(10, 14)
    for i in range(rng.randint(1, 60)):
        lines.append(f"2026-05-{day},{8 + i // 20:02d}:{i % 20 * 3:02d}:00,Deck,{i // 3 + 1},{rng.randint(150, 380)}")
    return "\n".join(lines) + "\n"


def hygrometer(rng):
    lines = ["Date,Time,Air temperature (degC),Relative humidity (%)"]
    for i in range(rng.randint(1, 90)):
        lines.append(f"2026-05-11,{9 + i // 60:02d}:{i % 60:02d}:00,{rng.uniform(8, 25):.1f},{rng.uniform(40, 95):.1f}")
    return "\n".join(lines) + "\n"


def odd(rng):
    return rng.choice(["", "no table at all\n", "Date,Time,Zone,Spot,Read", "\x00\x01\x02", "a;b;c\n1;2;3\n"])


class Share:
    def __init__(self, rng, root, jobs):
        self.rng, self.root, self.files = rng, root, {}
        for n in range(jobs):
            folder = os.path.join(root, f"job {n}")
            os.makedirs(folder)
            self.put(os.path.join(folder, "job.milrise"), JOB.format(n=n))
            self.put(os.path.join(folder, "zones.csv"), "Zone,Area (m2),Coats\nDeck,10,1\n")
            self.put(os.path.join(folder, "spray log.csv"),
                     "Zone,Coat,Start,Stop\nDeck,1,2026-05-10 07:00,2026-05-10 07:20\n")

    def put(self, path, text):
        with open(path, "w", encoding="utf-8") as f:
            f.write(text)
        self.files[path] = text

    def drop(self):
        rng = self.rng
        folder = os.path.join(self.root, f"job {rng.randrange(len(os.listdir(self.root)))}")
        path = os.path.join(folder, rng.choice(["gauge a.csv", "gauge b.csv", "climate.csv", "odd.csv", "notes.txt"]))
        kind = rng.random()
        if kind < 0.15 and path in self.files:
            os.remove(path)
            del self.files[path]
            return
        make = hygrometer if "climate" in path else odd if "odd" in path or "notes" in path else readings
        text = make(rng)
        if kind < 0.5:
            self.put(path, text)
        elif kind < 0.75:  # beside it, then renamed
            self.put(path + ".part", text)
            os.rename(path + ".part", path)
            self.files[path] = self.files.pop(path + ".part")
        else:  # in pieces, as over a slow line
            with open(path, "w", encoding="utf-8") as f:
                for at in range(0, len(text), max(1, len(text) // 3)):
                    f.write(text[at:at + max(1, len(text) // 3)])
                    f.flush()
                    time.sleep(rng.random() * 0.01)
            self.files[path] = text


def watch(program, root):
    return subprocess.Popen([program, "watch", "--quiet", "--settle", "1", root], stdout=subprocess.DEVNULL,
                            stderr=subprocess.DEVNULL, start_new_session=True)


def facts(folder):
    """What a report says, but for its number, its name and the memory of former ones."""
    with open(os.path.join(folder, "reports", "latest", "report.json"), encoding="utf-8") as f:
        report = json.load(f)
    for key in ("revision", "outputs", "date", "job"):
        report.pop(key)
    for figure in report["figures"]:
        for key in ("since_revision", "created"):
            figure.pop(key)
    report["findings"] = [f for f in report["findings"] if f["id"] != "non-conformance-gone"]
    report["tables"] = [t for t in report["tables"]
                        if t["id"] not in ("revision-history", "non-conformances")]
    return report


def settled(program, root, watcher, seconds):
    end = time.time() + seconds
    while time.time() < end:
        if watcher.poll() is not None:
            return False
        plan = subprocess.run([program, "sweep", "--plan", root], capture_output=True, text=True, check=True).stdout
        if not plan:
            return True
        time.sleep(1)
    return False


def main():
    program = os.path.abspath(sys.argv[1])
    drops = int(sys.argv[2]) if len(sys.argv) > 2 else 300
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    rng = random.Random(seed)
    faults, kills = [], 0
    with tempfile.TemporaryDirectory() as work:
        root = os.path.join(work, "share")
        share = Share(rng, root, 5)
        watcher = watch(program, root)
        for _ in range(drops):
            share.drop()
            time.sleep(rng.choice([0, 0, 0, 0.01, 0.05, 0.3]))
            if rng.random() < 0.01:
                os.killpg(watcher.pid, signal.SIGKILL)
                watcher.wait()
                kills += 1
                watcher = watch(program, root)
        if not settled(program, root, watcher, 180):
            faults.append("the watcher does not come to rest")
        watcher.terminate()
        if watcher.wait(60) != 0:
            faults.append("the watcher did not end in order")
        for n in sorted(os.listdir(root)):
            folder, clean = os.path.join(root, n), os.path.join(work, "clean", n)
            shutil.copytree(folder, clean, ignore=shutil.ignore_patterns("reports", "answer.*"))
            status = subprocess.run([program, "report", "--quiet", clean], capture_output=True, check=False).returncode
            if status > 1:
                faults.append(f"{n}: a clean run leaves with {status}")
            elif facts(folder) != facts(clean):
                faults.append(f"{n}: not the report of a clean run")
        for path, text in share.files.items():
            with open(path, "rb") as f:
                if hashlib.sha256(f.read()).digest() != hashlib.sha256(text.encode()).digest():
                    faults.append(f"{path}: not as it was dropped")
        left = [f for _, _, names in os.walk(root) for f in names if f.startswith(".") and f != ".state"]
        faults += [f"left over: {f}" for f in left if f not in (".lock",)]
    for fault in faults:
        print(fault)
    print(f"{drops} drops, {kills} kills of the watcher, {len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
