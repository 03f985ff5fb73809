#!/usr/bin/env python3
"""What the IANA data say, by a second route (Python's zoneinfo): every transition of every zone from 1990 to 2037.

Prints one line for each question:
  Z name                      the zone that follows
  U utc_s offset_s            local minus UTC at a moment
  L local_s n first_s last_s  how many moments a wall-clock time names (0 gap, 1, 2 fold), the first and the last of them
Moments: a second before, at, and a second after each transition; wall-clock times likewise around both of its sides.
"""
import sys
from datetime import datetime, timedelta, timezone
from zoneinfo import ZoneInfo, available_timezones
from zoneinfo._zoneinfo import ZoneInfo as PlainZoneInfo

EPOCH = datetime(1970, 1, 1)
FIRST = int((datetime(1990, 1, 1) - EPOCH).total_seconds())
LAST = int((datetime(2037, 12, 31) - EPOCH).total_seconds())


def offset_at(zone, utc_s):
    local = (EPOCH + timedelta(seconds=utc_s)).replace(tzinfo=timezone.utc).astimezone(zone)
    return int(local.utcoffset().total_seconds())


def moments(zone, local_s):
    naive = EPOCH + timedelta(seconds=local_s)
    found = set()
    for fold in (0, 1):
        offset = int(naive.replace(tzinfo=zone, fold=fold).utcoffset().total_seconds())
        if offset_at(zone, local_s - offset) == offset:
            found.add(local_s - offset)
    return sorted(found)


def main():
    out = []
    for name in sorted(available_timezones()):
        plain, zone = PlainZoneInfo(name), ZoneInfo(name)
        out.append("Z %s" % name)
        asked = {FIRST, LAST}
        walls = set()
        for t in plain._trans_utc:
            if not FIRST <= t <= LAST:
                continue
            asked.update((t - 1, t, t + 1))
            for offset in (offset_at(zone, t - 1), offset_at(zone, t)):
                walls.update((t + offset - 1, t + offset, t + offset + 1))
        for t in sorted(asked):
            out.append("U %d %d" % (t, offset_at(zone, t)))
        for w in sorted(walls):
            found = moments(zone, w)
            out.append("L %d %d %d %d" % (w, len(found), found[0] if found else 0, found[-1] if found else 0))
    sys.stdout.write("\n".join(out) + "\n")


main()
