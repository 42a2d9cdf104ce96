"""Kinds of numpy arrays, one dimension each, by what they hold."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Flags = NDArray[np.bool_]
Numbers = NDArray[np.float64]
Places = NDArray[np.intp]
Signs = NDArray[np.uint8]
Lines = NDArray[np.uint32]
Triple = tuple[Numbers, Numbers, Numbers]
