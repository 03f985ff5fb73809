#!/usr/bin/env python3
"""One share, two machines: mounts of user-space file systems that keep locks to themselves, as network mounts may.

    scripts/two_machines.py MILRISE [JOBS] [SECONDS]

Each machine has its own mount of the share, host name, process ids and boot id (unshare), so neither sees the other's locks
or can ask after its processes. One watches, the other sweeps, while files change beneath both; the watcher's machine is
killed and started anew with another boot id on the way. No job may be reported on both at the same time, and after a last
sweep each report must be that of its files. Held once with bindfs on both machines, once with the disk itself on one of them,
and once with sshfs on both: a file system of the network with an SFTP server for each mount, which remembers names, sizes
and times for seconds, so that each machine sees the other's work late.
Exit 0: no fault. 1: faults, one a line. 77: says what is missing here.
"""
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time

import share

MACHINE = ("hostname {name} && mount --bind {boot} /proc/sys/kernel/random/boot_id && "
           "test \"$(cat /proc/sys/kernel/random/boot_id)\" = {name}-{start} && exec \"$@\"")


PAIRS = (("bindfs", "bindfs"), ("disk", "bindfs"), ("sshfs", "sshfs"))
AGE_S = {"sshfs": 25}  # how long it may go by what it remembers of names, sizes and times (20 s by its manual)
SFTP_SERVER = "/usr/lib/openssh/sftp-server"


def mount_command(kind, work, mount):
    """sshfs speaks to a server that stands at the other end of a pipe: no account, key or port is needed for it."""
    disk = os.path.join(work, "disk")
    if kind == "bindfs":
        return ["bindfs", "--no-allow-other", disk, mount]
    connect = os.path.join(work, "connect")
    share.write(connect, f"#!/bin/sh\nexec {SFTP_SERVER}\n")
    os.chmod(connect, 0o755)
    return ["sshfs", "-o", "ssh_command=" + connect, "server:" + disk, mount]


class Machine:
    """A mount of its own, or the disk itself, and processes that believe that they are alone on it."""

    def __init__(self, work, name, kind):
        self.name, self.starts, self.has_disk = name, 0, kind == "disk"
        self.mount = os.path.join(work, "disk" if self.has_disk else name)
        self.boot = os.path.join(work, name + ".boot")
        if not self.has_disk:
            os.mkdir(self.mount)
            subprocess.run(mount_command(kind, work, self.mount), check=True)

    def start(self):
        self.starts += 1
        share.write(self.boot, f"{self.name}-{self.starts}\n")

    def run(self, *command):
        script = MACHINE.format(name=self.name, boot=self.boot, start=self.starts)
        return subprocess.Popen(["unshare", "--mount", "--uts", "--pid", "--fork", "--kill-child", "--mount-proc",
                                 "sh", "-c", script, "machine", *command],
                                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)

    def end(self):
        if not self.has_disk:
            subprocess.run(["fusermount", "-u", "-z", self.mount], check=False)


def what_is_missing():
    for program in ("bindfs", "fusermount", "unshare"):
        if not shutil.which(program):
            return program + " is not installed"
    if not os.access("/dev/fuse", os.W_OK):
        return "/dev/fuse cannot be opened"
    tried = subprocess.run(["unshare", "--mount", "--uts", "--pid", "--fork", "true"], capture_output=True, check=False)
    return None if tried.returncode == 0 else "namespaces of one's own are not allowed"


def both_at_once(machines):
    """Jobs on which reports of several machines work at this moment."""
    found = {}
    for pid in os.listdir("/proc"):
        report = share.folder_of(pid) if pid.isdigit() else None
        for machine in machines if report else []:
            root = os.fsencode(machine.mount) + b"/"
            if report[1].startswith(root):
                found.setdefault(report[1][len(root):], {}).setdefault(machine.name, pid)
    both = {job: pids for job, pids in found.items() if len(pids) > 1}
    return [os.fsdecode(job) for job, pids in both.items() if all(share.folder_of(p) for p in pids.values())]


def ended(process, how):
    process.send_signal(how)
    return process.wait(60)


def work_together(program, machines, jobs, rng, seconds):
    """Returns: faults, reports that were seen under way."""
    faults, looks, sweeps, sweep = [], 0, 0, None
    watch = machines[0].run(program, "watch", "--quiet", "--settle", "1", machines[0].mount)
    begun = time.time()
    killed = False
    while time.time() < begun + seconds:
        if sweep is None or sweep.poll() is not None:
            if sweep is not None and sweep.returncode not in (0, 1, 2, 3, 4):
                faults.append(f"a sweep left with {sweep.returncode}")
            sweep = machines[1].run(program, "sweep", "--quiet", machines[1].mount)
            sweeps += 1
        share.write(os.path.join(rng.choice(jobs), "gauge.csv"), share.gauge(rng.randrange(1000), rng.random() < 0.5))
        if not killed and time.time() > begun + seconds / 2:
            ended(watch, signal.SIGKILL)
            machines[0].start()
            watch = machines[0].run(program, "watch", "--quiet", "--settle", "1", machines[0].mount)
            killed = True
        until = time.time() + rng.random()
        while time.time() < until:
            faults += [f"{job}: reports on two machines at the same time" for job in both_at_once(machines)]
            looks += 1
            time.sleep(0.02)
    if sweep.wait(300) not in (0, 1, 2, 3, 4):
        faults.append(f"a sweep left with {sweep.returncode}")
    if watch.poll() is not None:
        faults.append(f"the watcher ended by itself with {watch.returncode}")
    ended(watch, signal.SIGKILL)
    print(f"two machines for {seconds} s: {sweeps} sweeps beside a watcher, looked {looks} times for two reports on one job")
    return faults


def hold(program, work, count, seconds, kinds):
    rng = random.Random(7)
    disk = os.path.join(work, "disk")
    jobs = [share.ordinary(disk, n, n % 3 == 0) for n in range(count)]
    machines = []
    try:
        for name, kind in zip(("quay-office", "night-server"), kinds):
            machines.append(Machine(work, name, kind))
            machines[-1].start()
        faults = work_together(program, machines, jobs, rng, seconds)
        machines[0].start()  # what a killed machine still held is free once it is there again
        time.sleep(max(AGE_S.get(kind, 0) for kind in kinds))
        for machine in machines:
            last = machine.run(program, "sweep", "--quiet", machine.mount)
            if last.wait(300) not in (0, 1):
                faults.append(f"the last sweep of {machine.name} left with {last.returncode}")
        faults += share.judge(jobs, "at the end")
        faults += share.as_a_clean_run(program, work, jobs, "at the end")
        return faults
    finally:
        for machine in machines:
            machine.end()


def main():
    missing = what_is_missing()
    if missing:
        print(f"two machines: not tried, {missing}")
        return 77
    program = os.path.abspath(sys.argv[1])
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 12
    seconds = int(sys.argv[3]) if len(sys.argv) > 3 else 20
    faults = []
    for kinds in PAIRS:
        if "sshfs" in kinds and not (shutil.which("sshfs") and os.access(SFTP_SERVER, os.X_OK)):
            print("LEFT OUT: sshfs or its server is not installed")
            continue
        work = tempfile.mkdtemp(prefix="milrise-machines-")
        try:
            print(" and ".join(kinds) + ": ", end="", flush=True)
            faults += [f"{kinds[0]} and {kinds[1]}: {fault}" for fault in hold(program, work, count, seconds, kinds)]
        finally:
            shutil.rmtree(work, ignore_errors=True)
    for fault in faults[:50]:
        print(fault)
    print(f"{count} jobs, {len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
