"""A ground of any size for looking at speed: rolling land with hollows and rough ground, square cells of 1 m, at invented coordinates.

    python large_ground.py SIDE OUT.tif     ->  SIDE x SIDE float32 cells, an uncompressed TIFF with its place
"""
import struct
import sys

import numpy as np

STRIP_ROWS = 64


def levels(side, first, count):
    """Levels of `count` rows from `first` on, metres."""
    y, x = np.mgrid[first : first + count, 0:side].astype("float32")
    land = 100 + 0.004 * x + 3 * np.sin(x / 171) * np.cos(y / 133) + 0.8 * np.sin(x / 41 + y / 57) + 0.15 * np.sin(x / 9) * np.sin(y / 11)
    rough = np.random.default_rng(first).normal(0, 0.02, (count, side))
    return (land + rough).astype("<f4")


def tags(side, strips, offset):
    """The tags of the TIFF and what does not fit into them, which begins at `offset`."""
    rest = b""
    entries = []

    def tag(number, kind, form, *values):
        nonlocal rest
        data = struct.pack("<" + form * len(values), *values)
        if len(data) > 4:
            place, rest = offset + len(rest), rest + data
            data = struct.pack("<I", place)
        entries.append(struct.pack("<HHI", number, kind, len(values)) + data.ljust(4, b"\0"))

    row = 4 * side
    rows = [min(STRIP_ROWS, side - first) for first in range(0, side, STRIP_ROWS)]
    for number, value in ((256, side), (257, side), (258, 32), (259, 1), (262, 1)):
        tag(number, 4, "I", value)
    tag(273, 4, "I", *strips)
    for number, value in ((277, 1), (278, STRIP_ROWS)):
        tag(number, 4, "I", value)
    tag(279, 4, "I", *(count * row for count in rows))
    tag(339, 3, "H", 3)
    tag(33550, 12, "d", 1.0, 1.0, 0.0)
    tag(33922, 12, "d", 0.0, 0.0, 0.0, 500_000.0, 20_000.0 + side, 0.0)
    tag(34735, 3, "H", 1, 1, 0, 2, 1024, 0, 1, 1, 1025, 0, 1, 1)
    return struct.pack("<H", len(entries)) + b"".join(entries) + struct.pack("<I", 0), rest


def main():
    side, out = int(sys.argv[1]), sys.argv[2]
    with open(out, "wb") as file:
        file.write(struct.pack("<2sHI", b"II", 42, 8))
        begin = 8 + len(tags(side, [0] * -(-side // STRIP_ROWS), 0)[0])
        rest = len(tags(side, [0] * -(-side // STRIP_ROWS), 0)[1])
        strips = [begin + rest + 4 * side * first for first in range(0, side, STRIP_ROWS)]
        for part in tags(side, strips, begin):
            file.write(part)
        for first in range(0, side, STRIP_ROWS):
            file.write(levels(side, first, min(STRIP_ROWS, side - first)).tobytes())


main()
