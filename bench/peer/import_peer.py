#!/usr/bin/env python3
"""What a careful maker would write with pandas, NumPy and SciPy, and less than
`masseter import` does: a factor for each channel from the bench readings,
single wild samples replaced, a zero followed for each channel through quiet
stretches, a filter without delay, bites by two thresholds, and of each bite
peak, strike, squeeze, held force, impulse and rise. No uncertainty, no faults
but missing samples and wild words, no broken lines, nothing kept.

  import_peer.py capture.csv readings.csv

Whole arrays throughout; only bites are gone through one by one. Prints one
line: samples, missing samples, bites and the mean peak.
"""
import sys

import numpy as np
import pandas as pd
from scipy.signal import butter, sosfiltfilt

GRAVITY = 9.81
SPIKE_N = 120.0
ON_N, OFF_N, REGRIP_S = 20.0, 10.0, 0.4
QUIET_S = 0.1  # the zero is followed in means over this


def calibrate(path, channels):
    """Newtons per count of each channel: least squares, zeros taken off."""
    table = pd.read_csv(path)
    zero = table.groupby("series")[channels].transform("first")
    force = table["mass_kg"].to_numpy() * GRAVITY
    return np.linalg.lstsq((table[channels] - zero).to_numpy(), force,
                           rcond=None)[0]


def replace_spikes(x, limit):
    """A sample beyond both neighbours by more than `limit`: their mean."""
    step = np.diff(x)
    at = np.flatnonzero(np.abs(step) > limit)
    at = at[at + 1 < len(step)] + 1
    wild = (np.abs(step[at]) > limit) & (step[at] * step[at - 1] < 0)
    at = at[wild]
    x[at] = 0.5 * (x[at - 1] + x[at + 1])


def zero_of(coarse, gains):
    """Zero of the force over means of all channels: medians of ten seconds of
    what is quiet, a channel at a time."""
    rough = coarse @ gains
    rough = rough - pd.Series(rough).rolling(
        601, center=True, min_periods=1).median().to_numpy()
    loud = np.abs(rough) > OFF_N
    loud = np.convolve(loud, np.ones(7), mode="same") > 0
    total = np.zeros(len(coarse))
    for c, gain in enumerate(gains):
        quiet = pd.Series(np.where(loud, np.nan, coarse[:, c]))
        zero = quiet.rolling(101, center=True, min_periods=5).median()
        total += gain * zero.interpolate(limit_direction="both").to_numpy()
    return total


def spans(force, rate):
    """First and last sample above the lower threshold of what passes the
    upper, pauses shorter than a re-grip bridged."""
    above = np.flatnonzero(force > OFF_N)
    if len(above) == 0:
        return []
    cut = np.flatnonzero(np.diff(above) > REGRIP_S * rate)
    first = np.concatenate(([above[0]], above[cut + 1]))
    last = np.concatenate((above[cut], [above[-1]]))
    high = np.maximum.reduceat(force, first) > ON_N
    return list(zip(first[high], last[high]))


def measure(force, raw, t, a, b, rate):
    f, r = force[a:b + 1], raw[a:b + 1]
    peak = f.max()
    strike = f[:int(0.2 * rate)].max()
    n = int(0.25 * rate)
    sums = np.cumsum(r[int(0.2 * rate):])
    squeeze = (sums[n:] - sums[:-n]).max() / n if len(sums) > n else np.nan
    held = r[f > 0.5 * peak].mean()
    impulse = np.trapz(r, t[a:b + 1])
    rise = t[a + np.argmax(f > 0.9 * peak)] - t[a + np.argmax(f > 0.1 * peak)]
    return peak, strike, squeeze, held, impulse, rise


def main():
    path, readings = sys.argv[1:3]
    with open(path) as file:
        names = file.readline().strip().split(",")
    channels = [c for c in names if c.startswith("c")]
    wanted = ["seq", "t_us"] + channels
    frame = pd.read_csv(path, usecols=wanted, engine="c",
                        dtype={c: np.int64 for c in wanted})
    gains = calibrate(readings, channels)
    missing = int((np.diff(frame["seq"].to_numpy()) - 1).clip(0).sum())
    t = np.unwrap(frame["t_us"].to_numpy().astype(float),
                  period=2.0**32) * 1e-6
    rate = 1.0 / np.median(np.diff(t[:100000]))

    step = max(1, int(QUIET_S * rate))
    n = len(t) // step
    coarse = np.empty((n, len(channels)))
    raw = np.zeros(len(t))
    for c, name in enumerate(channels):
        x = frame[name].to_numpy().astype(float)
        replace_spikes(x, SPIKE_N / gains[c])
        coarse[:, c] = x[:n * step].reshape(n, step).mean(axis=1)
        raw += gains[c] * x
    raw -= np.interp(np.arange(len(raw)), (np.arange(n) + 0.5) * step,
                     zero_of(coarse, gains))
    sos = butter(2, 100.0 / (rate / 2.0), output="sos")
    force = sosfiltfilt(sos, raw)
    bites = [measure(force, raw, t, a, b, rate)
             for a, b in spans(force, rate) if t[b] - t[a] > 0.1]
    peaks = [bite[0] for bite in bites]
    print(len(t), missing, len(bites), round(float(np.mean(peaks)), 1))


if __name__ == "__main__":
    main()
