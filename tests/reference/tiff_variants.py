"""GeoTIFF files in many encodings, written by rasterio (GDAL), and what rasterio reads of them: invented ground, small grids.

    python tiff_variants.py > tiff_variants.json

Every entry holds the file's bytes (hexadecimal), its extent (west, south, east, north), the metres of a unit of level, the number of missing
cells, the sum of all levels, and some cells as row, column (north-west first), level in metres. Entries without cells must be refused.
"""
import json
import os
import sys
import tempfile

import numpy as np
import rasterio
from rasterio.enums import Resampling
from rasterio.shutil import copy
from rasterio.transform import Affine, from_origin

H, W = 18, 21
FOLDER = tempfile.mkdtemp()
PLACE = from_origin(463439, 4757131, 3, 3)
GROUND = 250 + np.cumsum(np.random.default_rng(5).normal(0, 0.1, (H, W)), axis=1)
FILES = []


def path(name):
    return os.path.join(FOLDER, name + ".tif")


def write(name, cells, bands=1, crs="EPSG:26915", transform=PLACE, unit_m=1.0, mask=None, **options):
    cells = np.asarray(cells)
    with rasterio.open(path(name), "w", driver="GTiff", height=H, width=W, count=bands, dtype=cells.dtype, crs=crs, transform=transform, **options) as file:
        for band in range(bands):
            file.write(cells if band == 0 else cells * 0 + band, band + 1)
        if mask is not None:
            file.write_mask(mask)
    FILES.append((name, unit_m))


def tiles(width, height):
    return dict(tiled=True, blockxsize=width, blockysize=height)


def numbers():
    for kind in "uint8 int8 uint16 int16 uint32 int32 uint64 int64 float32 float64".split():
        cells = (GROUND - 200 if kind.endswith("t8") else GROUND).astype(kind)
        for predictor in (1, 2, 3) if "float" in kind else (1, 2):
            write(f"{kind}_deflate_{predictor}", cells, compress="deflate", predictor=predictor)
            write(f"{kind}_big_endian_tiles_{predictor}", cells, compress="lzw", predictor=predictor, ENDIANNESS="BIG", **tiles(16, 32))
        write(f"{kind}_plain", cells, ENDIANNESS="BIG")
    write("float16_predictor_3", GROUND.astype("float32"), NBITS=16, compress="deflate", predictor=3)
    write("int16_packbits", GROUND.astype("int16"), compress="packbits")


def layouts():
    single = GROUND.astype("float32")
    for interleave in ("pixel", "band"):
        for predictor in (1, 2, 3):
            write(f"bands_{interleave}_{predictor}", single, bands=3, compress="deflate", predictor=predictor, interleave=interleave, **tiles(16, 16))
    write("big_tiff", single, BIGTIFF="YES", compress="deflate", **tiles(32, 16))
    write("one_row_a_strip", single, blockysize=1, compress="lzw", predictor=2)
    write("one_strip", single, blockysize=H, compress="deflate", predictor=3)
    write("sparse", np.where(np.arange(H)[:, None] < 16, single, -9999).astype("float32"), nodata=-9999, SPARSE_OK="TRUE", compress="deflate", **tiles(16, 16))
    copy(path("float32_deflate_1"), path("cog"), driver="COG", compress="DEFLATE", predictor=3, blocksize=128)
    FILES.append(("cog", 1.0))
    write("overviews", single, compress="deflate", **tiles(16, 16))
    with rasterio.open(path("overviews"), "r+") as file:
        file.build_overviews([2], Resampling.average)
    hidden = np.full((H, W), 255, "uint8")
    hidden[3:9, 5:17] = 0
    with rasterio.Env(GDAL_TIFF_INTERNAL_MASK=True):
        write("mask", single, mask=hidden, **tiles(16, 16))
        write("mask_deflate", single, mask=hidden, compress="deflate", predictor=3, **tiles(16, 16))


def places():
    single = GROUND.astype("float32")
    write("south_up", single, transform=Affine(3, 0, 463439, 0, 3, 4757077))
    write("east_first", single, transform=Affine(-3, 0, 463502, 0, -3, 4757131))
    write("survey_feet", single, crs="EPSG:2965", transform=from_origin(3000000, 1500000, 10, 10), unit_m=1200 / 3937)
    write("feet", single, crs="EPSG:2223", transform=from_origin(700000, 1500000, 10, 10), unit_m=0.3048)
    write("levels_in_feet", single, crs="EPSG:6346+8228", unit_m=0.3048)
    write("cells_by_centre", single)
    with rasterio.open(path("cells_by_centre"), "r+") as file:
        file.update_tags(AREA_OR_POINT="Point")


def markers():
    for nodata in ("nan", "-9999", "-3.40282346638529e+38", "-9999.9", "inf"):
        cells = GROUND.astype("float32")
        cells[3:9, 4:8] = float(nodata)
        write(f"missing_{nodata}", cells, nodata=float(nodata), compress="deflate")
    cells = GROUND.astype("int16")
    cells[3:9, 4:8] = -32768
    write("missing_whole", cells, nodata=-32768)
    write("scaled", ((GROUND - 200) * 100).astype("int16"), compress="deflate")
    with rasterio.open(path("scaled"), "r+") as file:
        file.scales, file.offsets = (0.01,), (200.0,)


def refused():
    single = GROUND.astype("float32")
    write("no_rotated", single, transform=PLACE * Affine.rotation(10))
    write("no_12_bits", GROUND.astype("uint16"), NBITS=12)
    for codec in ("zstd", "lerc", "lzma"):
        write(f"no_{codec}", single, compress=codec)
    write("no_jpeg", (GROUND - 200).astype("uint8"), compress="jpeg")
    write("no_colour", np.zeros((H, W), "uint8"), bands=3, photometric="RGB")


def entry(name, unit_m):
    with open(path(name), "rb") as file:
        found = dict(name=name, bytes=file.read().hex())
    if name.startswith("no_"):
        return found
    with rasterio.open(path(name)) as file:
        levels = file.read(1, masked=True).astype("float64")
        levels = (levels * file.scales[0] + file.offsets[0]).filled(np.nan) * unit_m
        levels[~(np.abs(levels) < 1e30)] = np.nan
        place = file.transform
        across = unit_m if name in ("survey_feet", "feet") else 1.0
        edges = [place.c, place.c + place.a * W], [place.f, place.f + place.e * H]
    levels = levels[::-1] if place.e > 0 else levels
    levels = levels[:, ::-1] if place.a < 0 else levels
    cells = [(r, c) for r in (0, 5, 16, H - 1) for c in (0, 6, 17, W - 1)]
    levels_at = [[r, c, None if np.isnan(levels[r, c]) else float(levels[r, c])] for r, c in cells]
    extent = [min(edges[0]) * across, min(edges[1]) * across, max(edges[0]) * across, max(edges[1]) * across]
    return found | dict(extent=extent, missing=int(np.isnan(levels).sum()), sum=float(np.nansum(levels)), cells=levels_at)


if __name__ == "__main__":
    for make in (numbers, layouts, places, markers, refused):
        make()
    versions = dict(rasterio=rasterio.__version__, gdal=rasterio.__gdal_version__, numpy=np.__version__)
    out = dict(made_by="tests/reference/tiff_variants.py", versions=versions, files=[entry(*file) for file in FILES])
    sys.stdout.write(json.dumps(out, indent=0, separators=(",", ":")) + "\n")
