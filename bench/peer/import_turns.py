#!/usr/bin/env python3
"""`masseter import` and import_peer.py turn about on the same capture, whole
processes, wall clock and processor time. Both must find as many bites, with mean
peaks within 1 %, before anything is timed.

  import_turns.py build/masseter FOLDER [turns]

FOLDER holds rig.toml, readings.csv and capture.csv (masseter sim --files).
"""
import json
import os
import pathlib
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

PEER = str(pathlib.Path(__file__).with_name("import_peer.py"))


def run(*call):
    done = subprocess.run(call, check=True, capture_output=True, text=True)
    return done.stdout


def timed(*call):
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.monotonic()
    out = run(*call)
    wall = time.monotonic() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = sum(getattr(after, k) - getattr(before, k)
              for k in ("ru_utime", "ru_stime"))
    return wall, cpu, out


def check(ours, book, theirs):
    samples, _, bites, peak = theirs.split()
    found = json.loads(run(ours, "bites", book, "--json"))["bites"]
    mean = statistics.mean(b["peak_n"] for b in found)
    print(f"{samples} samples; bites {len(found)} and {bites}, "
          f"mean peak {mean:.1f} N and {peak} N")
    if len(found) != int(bites) or abs(mean / float(peak) - 1.0) > 0.01:
        sys.exit("the two do not find the same bites")


def main():
    ours, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    turns = int(sys.argv[3]) if len(sys.argv) > 3 else 7
    capture, readings = str(folder / "capture.csv"), str(folder / "readings.csv")
    with tempfile.TemporaryDirectory() as scratch:
        empty, book = f"{scratch}/empty.book", f"{scratch}/day.book"
        run(ours, "new", empty, "--rig", str(folder / "rig.toml"))
        run(ours, "calibrate", empty, readings)
        took = {"masseter": [], "script": []}
        for turn in range(turns + 1):
            for end in ("", "-wal", "-shm"):
                if os.path.exists(book + end):
                    os.remove(book + end)
            shutil.copyfile(empty, book)
            mine = timed(ours, "import", book, capture)
            theirs = timed(sys.executable, PEER, capture, readings)
            if turn == 0:
                check(ours, book, theirs[2])
                continue
            took["masseter"].append(mine)
            took["script"].append(theirs)
        print(f"load {os.getloadavg()[0]:.1f}, {turns} turns")
        for index, what in enumerate(("wall", "processor")):
            for pick in (statistics.median, min):
                a, b = (pick(t[index] for t in took[k])
                        for k in ("masseter", "script"))
                print(f"{what:9} {pick.__name__:6}: masseter {a:.3f} s, "
                      f"script {b:.3f} s, ratio {b / a:.1f}")


if __name__ == "__main__":
    main()
