#!/usr/bin/python3
"""The bench job as a capable person would script it: pandas, XlsxWriter, matplotlib; the same inputs, like outputs.

peer.py JOB OUT [--plain] [--figures N] [--formats png,svg,pdf]

Reads every export, joins readings with bays, works out spot means and statistics by bay, climate and heat over each
window, judges, and writes one workbook (summary, a sheet by bay, all readings) and two figures by bay. Tuned: column
types given, times built from date and clock at once, constant-memory workbook, two processes for figures and files.
Plain: read_csv and to_excel as they come, one process. Prints "STAGE SECONDS" for each stage and how many figures.
"""
import argparse
import glob
import multiprocessing
import os
import time

import matplotlib
import numpy as np
import pandas as pd

matplotlib.use("Agg")
import matplotlib.pyplot as plt  # noqa: E402

LEAST_UM, MOST_UM, SPREAD_K, RH_MOST = 180, 380, 3.0, 85.0


def read_one(path, tuned):
    if not tuned:
        t = pd.read_csv(path)
        t["t"] = pd.to_datetime(t["Date"] + " " + t["Time"])
        return t.drop(columns=["Date", "Time"])
    head = pd.read_csv(path, nrows=1).columns
    kinds = {c: "float32" for c in head if c not in ("Date", "Time", "Zone", "Spot", "Reading")}
    kinds.update({c: "category" for c in ("Date", "Zone") if c in head})
    t = pd.read_csv(path, dtype=kinds, engine="c")
    day = pd.to_datetime(t["Date"].astype(str).iloc[0])
    clock = t.pop("Time").str.split(":", expand=True).astype("int32") if len(t) < 5000 else None
    if clock is None:
        t = pd.read_csv(path, dtype=kinds, engine="c", parse_dates={"t": ["Date", "Time"]}, infer_datetime_format=True)
        return t
    t["t"] = day + pd.to_timedelta(clock[0] * 3600 + clock[1] * 60 + clock[2], unit="s")
    return t.drop(columns="Date")


def read_tuned(path):
    return read_one(path, True)


def read_kind(job, kind, tuned, pool):
    paths = sorted(glob.glob(f"{job}/{kind}-*.csv"))
    parts = pool.map(read_tuned, paths) if tuned else [read_one(p, False) for p in paths]
    return pd.concat(parts, ignore_index=True)


def dew_point(air, rh):
    g = np.log(rh / 100) + 17.62 * air / (243.12 + air)
    return 243.12 * g / (17.62 - g)


def judge(job, readings, climate, steel, lines):
    log = pd.read_csv(f"{job}/spray log.csv")
    log["t0"] = pd.to_datetime(log["Date"] + " " + log["Start"])
    log["t1"] = log["t0"] + pd.Timedelta(240, unit="s")
    spots = readings.groupby(["Zone", "Spot"], observed=True)["DFT, µm"].mean().rename("mean").reset_index()
    film = readings.groupby("Zone", observed=True)["DFT, µm"].agg(["count", "mean", "std", "min", "median", "max"])
    quart = readings.groupby("Zone", observed=True)["DFT, µm"].quantile([0.25, 0.75]).unstack()
    dew = dew_point(climate["Air (degC)"].to_numpy(), climate["RH (%)"].to_numpy())
    ct, st, lt = (x["t"].to_numpy() for x in (climate, steel, lines))
    rows = []
    for i, w in enumerate(log.itertuples()):
        probe = steel[f"T{i % 6 + 1} (degC)"].to_numpy()
        a, b = np.searchsorted(st, [w.t0.to_datetime64(), (w.t0 + pd.Timedelta(1200, unit="s")).to_datetime64()])
        c, d = np.searchsorted(ct, [(w.t0 - pd.Timedelta(600, unit="s")).to_datetime64(), w.t1.to_datetime64()])
        e, f = np.searchsorted(lt, [w.t0.to_datetime64(), w.t1.to_datetime64()])
        base = probe[max(a - 60, 0):a].mean() if a else np.nan
        la, lb = lines["Line A (kPa)"].to_numpy()[e:f], lines["Line B (kPa)"].to_numpy()[e:f]
        spread = (base - dew[c:d]).min() if d > c else np.nan
        z = film.loc[w.Zone]
        good = z["min"] >= LEAST_UM and z["max"] <= MOST_UM and spread >= SPREAD_K
        rows.append([w.Zone, w.t0, w.t1, *z, *quart.loc[w.Zone], base, probe[a:b].max(), probe[a:b].max() - base,
                     spread, climate["RH (%)"].to_numpy()[c:d].max() if d > c else np.nan, la.mean(), lb.mean(),
                     abs(la - lb).max(), "conforms" if good else "does not conform", a, b])
    names = ["Zone", "Start", "Stop", "n", "mean", "sd", "min", "median", "max", "q1", "q3", "before", "peak", "rise",
             "spread", "rh", "line A", "line B", "imbalance", "outcome", "from", "to"]
    return pd.DataFrame(rows, columns=names), spots


def figure_pair(task):
    zone, values, seconds, temps, out, formats = task
    for kind in ("film", "heat"):
        fig, ax = plt.subplots(figsize=(7, 4.32), dpi=300)
        if kind == "film":
            ax.hist(values, bins=30)
            ax.axvline(LEAST_UM, color="k")
            ax.set_xlabel("film, µm")
        else:
            for k, t in enumerate(temps):
                ax.plot(seconds, t, lw=0.8, label=f"T{k + 1}")
            ax.legend()
            ax.set_xlabel("time, s")
            ax.set_ylabel("steel, °C")
        ax.set_title(f"{zone}: {kind}")
        for f in formats:
            fig.savefig(f"{out}/figures/{zone}-{kind}.{f}")
        plt.close(fig)


def figures(summary, readings, steel, out, number, formats, pool, tuned):
    os.makedirs(f"{out}/figures", exist_ok=True)
    by_zone = dict(tuple(readings.groupby("Zone", observed=True)["DFT, µm"]))
    tasks = []
    for w in summary.head(number // 2).itertuples():
        a, b = int(w[-2]), int(w[-1])
        temps = [steel[f"T{k + 1} (degC)"].to_numpy()[a:b] for k in range(6)]
        tasks.append((w.Zone, by_zone[w.Zone].to_numpy(), np.arange(b - a), temps, out, formats))
    if tuned:
        pool.map(figure_pair, tasks, chunksize=4)
    else:
        for t in tasks:
            figure_pair(t)
    return 2 * len(tasks)


def book_plain(summary, spots, readings, out):
    with pd.ExcelWriter(f"{out}/report.xlsx", engine="xlsxwriter") as w:
        summary.to_excel(w, sheet_name="Summary", index=False)
        for zone, s in spots.groupby("Zone", observed=True):
            s.to_excel(w, sheet_name=str(zone), index=False)
        readings.to_excel(w, sheet_name="Readings", index=False)


def write_sheet(book, name, table, look):
    sheet = book.add_worksheet(name)
    sheet.write_row(0, 0, list(table.columns))
    columns = [table[c].astype(str).tolist() if table[c].dtype.kind in "MO" or table[c].dtype.name == "category"
               else table[c].round(4).fillna("").tolist() for c in table.columns]
    for r, row in enumerate(zip(*columns), 1):
        for c, v in enumerate(row):
            if isinstance(v, str):
                sheet.write_string(r, c, v, look)
            else:
                sheet.write_number(r, c, v, look)


def book_tuned(summary, spots, readings, out):
    import xlsxwriter
    book = xlsxwriter.Workbook(f"{out}/report.xlsx", {"constant_memory": True})
    look = book.add_format({"border": 1})
    write_sheet(book, "Summary", summary, look)
    for zone, s in spots.groupby("Zone", observed=True):
        write_sheet(book, str(zone), s, look)
    write_sheet(book, "Readings", readings, look)
    book.close()


def main():
    p = argparse.ArgumentParser()
    p.add_argument("job")
    p.add_argument("out")
    p.add_argument("--plain", action="store_true")
    p.add_argument("--figures", type=int, default=50)
    p.add_argument("--formats", default="png")
    o = p.parse_args()
    os.makedirs(o.out, exist_ok=True)
    tuned = not o.plain
    pool = multiprocessing.Pool(2) if tuned else None
    t0 = time.monotonic()
    tables = [read_kind(o.job, k, tuned, pool) for k in ("TG", "HY", "TL", "PL")]
    t1 = time.monotonic()
    summary, spots = judge(o.job, *tables)
    t2 = time.monotonic()
    drawn = figures(summary, tables[0], tables[2], o.out, o.figures, o.formats.split(","), pool, tuned)
    t3 = time.monotonic()
    (book_tuned if tuned else book_plain)(summary, spots, tables[0], o.out)
    t4 = time.monotonic()
    if pool:
        pool.close()
        pool.join()
    print(f"read {t1 - t0:.3f}\njudge {t2 - t1:.3f}\nfigures {t3 - t2:.3f}\nbook {t4 - t3:.3f}\ndrawn {drawn}")


if __name__ == "__main__":
    main()
