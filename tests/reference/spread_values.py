"""Reference values for water that spreads (crates/terrain/src/spread.rs) from a general-purpose library: surtgis.

    pip install numpy==2.4.6 surtgis==1.6.0
    python tests/reference/spread_values.py > tests/reference/spread_values.json

The ground is a formula (a tilted, rolling field without hollows); only accumulated cells are written. With the exponent 1
the library shares water as Quinn et al. (1991) do.
"""

import importlib.metadata
import json

import numpy
import surtgis

COLS, ROWS = 40, 30
col, row = numpy.meshgrid(numpy.arange(COLS), numpy.arange(ROWS))
z = 50.0 - 0.11 * row - 0.07 * col + 0.25 * numpy.sin(col / 5.0) + 0.2 * numpy.cos(row / 4.0 + col / 9.0)
z = z.astype(numpy.float32).astype(float)
cells = surtgis.flow_accumulation_mfd_compute(z, 1.0, 1.0)
print(
    json.dumps(
        {"surtgis": importlib.metadata.version("surtgis"), "cells": numpy.round(cells, 6).tolist()}
    )
)
