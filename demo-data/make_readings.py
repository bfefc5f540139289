#!/usr/bin/env python3
"""Makes the demo plant's survey files from a fixed seed. All readings are invented; only the level readings of rail R1 of
OV1530-0417 follow the worked example of the method notes (docs/method/straightness example, 3.0 m, base 250 mm).

Run it in this folder; it writes the *.csv files beside it. The results to expect stand in plant.json and are checked by a test.
"""
import itertools
import math
import random

SEED = 20261125


def plane_residuals(points):
    """Vertical residuals from the least-squares plane (slopes are µm per m: vertical and perpendicular agree to 1e-9 µm)."""
    n = len(points)
    mx, my, mz = (sum(p[k] for p in points) / n for k in range(3))
    c = [(x - mx, y - my, z - mz) for x, y, z in points]
    sxx = sum(x * x for x, _, _ in c)
    syy = sum(y * y for _, y, _ in c)
    sxy = sum(x * y for x, y, _ in c)
    sxz = sum(x * z for x, _, z in c)
    syz = sum(y * z for _, y, z in c)
    det = sxx * syy - sxy * sxy
    a, b = (sxz * syy - syz * sxy) / det, (syz * sxx - sxz * sxy) / det
    return [z - a * x - b * y for x, y, z in c]


def least_squares_range(points):
    r = plane_residuals(points)
    return max(r) - min(r)


def solve(rows, rhs):
    n = len(rhs)
    m = [list(r) + [v] for r, v in zip(rows, rhs)]
    for i in range(n):
        p = max(range(i, n), key=lambda k: abs(m[k][i]))
        if abs(m[p][i]) < 1e-12:
            return None
        m[i], m[p] = m[p], m[i]
        for k in range(n):
            if k != i:
                f = m[k][i] / m[i][i]
                m[k] = [a - f * b for a, b in zip(m[k], m[i])]
    return [m[i][n] / m[i][i] for i in range(n)]


def minimum_zone(points):
    """Smallest vertical zone by exchange of four contacts; returns zone, [(index, weight)]."""
    def weights(four):
        # c with sum c = sum c x = sum c y = 0, scaled so that the positive part adds to 1
        rows = [[points[i][k] if k < 2 else 1.0 for i in four[:3]] for k in range(3)]
        rhs = [-(points[four[3]][k] if k < 2 else 1.0) for k in range(3)]
        s = solve(rows, rhs)
        if s is None:
            return None
        c = s + [1.0]
        pos = sum(v for v in c if v > 0)
        c = [v / pos for v in c]
        value = sum(v * points[i][2] for v, i in zip(c, four))
        return ([-v for v in c], -value) if value < 0 else (c, value)

    four = [0, len(points) // 2 - 1, len(points) // 2, len(points) - 1]
    for _ in range(1000):
        c, zone = weights(four)
        # plane through the middle of the contacts
        rows = [[points[i][0], points[i][1], 1.0, 0.5 if v > 0 else -0.5] for v, i in zip(c, four)]
        a, b, d, h = solve(rows, [points[i][2] for i in four])
        r = [z - a * x - b * y - d for x, y, z in points]
        worst = max(range(len(points)), key=lambda k: abs(r[k]))
        if abs(r[worst]) <= h / 2 + 1e-9:
            return h, list(zip(four, c))
        best = None
        for k in range(4):
            trial = four[:k] + [worst] + four[k + 1:]
            w = weights(trial)
            if w and (best is None or w[1] > best[0]):
                best = (w[1], trial)
        four = best[1]
    raise SystemExit("no zone found")


def layout(length_mm, gauge_mm, pitch=250):
    n = int(length_mm // pitch) + 1
    return [(f"{rail}-{i + 1:02d}", i * pitch, y) for rail, y in (("R1", 0), ("R2", gauge_mm)) for i in range(n)]


def write(name, header, rows):
    with open(name, "w", encoding="utf-8", newline="\n") as f:
        f.write(header + "\n")
        for row in rows:
            f.write(",".join(row) + "\n")


def mm(um):
    return f"{um / 1000:.4f}"


def points(stations, heights):
    return [(x / 1000, y / 1000, z) for (_, x, y), z in zip(stations, heights)]


def bisect(f, target, lo, hi):
    for _ in range(200):
        mid = (lo + hi) / 2
        if f(mid) < target:
            lo = mid
        else:
            hi = mid
    return (lo + hi) / 2


def tilt(stations, heights, sx, sy, offset):
    return [z + sx * x / 1000 + sy * y / 1000 + offset for (_, x, y), z in zip(stations, heights)]


def settle(heights):
    return [round(z, 1) for z in heights]


def pads(rng, stations, least, spread):
    thick = [least + 0.02 + abs(rng.gauss(0, spread)) for _ in stations]
    thick[rng.randrange(len(stations))] = least
    return thick


def bump(i, centre, width):
    return math.exp(-((i - centre) / width) ** 2)


def main():
    rng = random.Random(SEED)

    # 1: OV1212-0088, class A, least squares 17.0 µm
    st = layout(1750, 1450)
    shape = [math.sin(1.1 * i + (0 if s[0].startswith("R1") else 2.0)) + rng.gauss(0, 0.15) for i, s in enumerate(st)]
    k = bisect(lambda a: least_squares_range(points(st, [a * v for v in shape])), 17.0, 0, 100)
    z = settle(tilt(st, [k * v for v in shape], 14.0, -9.0, 40.0))
    write("OV1212-0088-bed-heights.csv", "station,z_mm", [(s[0], mm(v)) for s, v in zip(st, z)])
    write("OV1212-0088-pad-thickness.csv", "station,t_mm", [(s[0], f"{v:.2f}") for s, v in zip(st, pads(rng, st, 18.20, 0.10))])
    print("OV1212-0088", least_squares_range(points(st, z)), minimum_zone(points(st, z))[0])

    # 7: OV1530-0417, class B; R1 is the running sum of the level readings, R2 is scaled to 31.0 µm least squares
    st = layout(4000, 1750)
    steps = [-6, -10, -14, -8, -2, 4, 10, 16, 12, 6, 0, -4, 0, 1, 0, 0]
    r1 = [0.0] + list(itertools.accumulate(s * 0.25 for s in steps))
    r2 = [math.cos(0.42 * i) + 0.25 * math.sin(1.3 * i) for i in range(17)]
    k = bisect(lambda a: least_squares_range(points(st, r1 + [a * v for v in r2])), 31.0, 5, 100)
    # The quarter micrometres of R1 are kept: the straightness of the seat rests on them.
    z = [round(v, 2) for v in tilt(st, r1 + [round(k * v, 1) for v in r2], 0.0, 6.0, 25.0)]
    write("OV1530-0417-bed-heights.csv", "station,z_mm", [(s[0], f"{v / 1000:.5f}") for s, v in zip(st, z)])
    write("OV1530-0417-pad-thickness.csv", "station,t_mm", [(s[0], f"{v:.2f}") for s, v in zip(st, pads(rng, st, 17.85, 0.12))])
    print("OV1530-0417", least_squares_range(points(st, z)), minimum_zone(points(st, z))[0])

    # 14: OV2661-0031, class E, minimum zone 121.0 µm with two high and two low contacts; both lows broad
    st = layout(7000, 3000)
    n = len(st) // 2
    r1 = [-bump(i, 7.0, 3.2) + bump(i, 21.5, 3.6) for i in range(n)]
    r2 = [bump(i, 6.0, 3.4) - bump(i, 20.5, 3.0) for i in range(n)]
    shape = [v + rng.gauss(0, 0.012) for v in r1 + r2]
    k = bisect(lambda a: minimum_zone(points(st, [a * v for v in shape]))[0], 121.0, 1, 500)
    z = settle(tilt(st, [k * v for v in shape], 9.0, -4.0, 120.0))
    zone, contacts = minimum_zone(points(st, z))
    write("OV2661-0031-bed-heights.csv", "station,z_mm", [(s[0], mm(v)) for s, v in zip(st, z)])
    write("OV2661-0031-pad-thickness.csv", "station,t_mm", [(s[0], f"{v:.2f}") for s, v in zip(st, pads(rng, st, 17.40, 0.15))])
    # measured again: the weighted sum of the four places is 1.0 µm less, 0.120 mm to the micrometre
    again = {i: z[i] + (rng.gauss(0, 0.4)) + 3.0 for i, _ in contacts}
    off = sum(w * again[i] for i, w in contacts) - 120.0
    high = max(contacts, key=lambda c: c[1])
    again[high[0]] -= off / high[1]
    write("OV2661-0031-contacts-again.csv", "station,z_mm", [(st[i][0], mm(round(v, 1))) for i, v in sorted(again.items())])
    print("OV2661-0031", zone, [(st[i][0], round(w, 4)) for i, w in contacts], sum(w * round(again[i], 1) for i, w in contacts), least_squares_range(points(st, z)))


if __name__ == "__main__":
    main()
