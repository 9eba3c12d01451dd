#!/usr/bin/env python3
"""What a careful maker would write with pandas and SciPy, and less than
`masseter import` does: reads a capture, sums the channels, follows the zero,
filters without delay, finds the bites and their peaks. No uncertainty, no
verdict, no faults but missing samples, nothing kept.

  import_peer.py capture.csv seq,t_us,c1,c2,c3,c4,supply_mv [counts_per_n]

Prints one line: the number of samples, of bites, and the mean peak.
"""
import sys

import numpy as np
import pandas as pd
from scipy.ndimage import median_filter
from scipy.signal import butter, sosfiltfilt


def main():
    path, columns = sys.argv[1], sys.argv[2].split(",")
    counts_per_n = float(sys.argv[3]) if len(sys.argv) > 3 else 450.0
    wanted = [c for c in columns if c != "supply_mv"]
    frame = pd.read_csv(path, header=None, names=columns, usecols=wanted,
                        engine="c", comment=None,
                        dtype={c: np.int64 for c in wanted})
    t = np.unwrap(frame["t_us"].to_numpy().astype(float), period=2.0**32) * 1e-6
    rate = 1.0 / np.median(np.diff(t[:100000]))
    channels = [c for c in columns if c.startswith("c")]
    force = frame[channels[0]].to_numpy().astype(float)
    for name in channels[1:]:
        force += frame[name].to_numpy()
    force /= counts_per_n

    # The zero: a running median of means over a tenth of a second.
    step = max(1, int(0.1 * rate))
    n = len(force) // step
    coarse = force[: n * step].reshape(n, step).mean(axis=1)
    zero = median_filter(coarse, size=601, mode="nearest")
    force -= np.interp(np.arange(len(force)), (np.arange(n) + 0.5) * step, zero)

    sos = butter(2, 100.0 / (rate / 2.0), output="sos")
    force = sosfiltfilt(sos, force)

    # Bites: above 20 N, pauses shorter than 0.4 s belong to the bite.
    above = np.flatnonzero(force > 20.0)
    if len(above) == 0:
        print(len(t), 0, 0.0)
        return
    cut = np.flatnonzero(np.diff(above) > 0.4 * rate)
    first = np.concatenate(([above[0]], above[cut + 1]))
    last = np.concatenate((above[cut], [above[-1]]))
    peaks = []
    for a, b in zip(first, last):
        if t[b] - t[a] < 0.1:
            continue
        peaks.append(force[a: b + 1].max())
    print(len(t), len(peaks), round(float(np.mean(peaks)), 1))


if __name__ == "__main__":
    main()
