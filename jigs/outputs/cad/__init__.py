"""Writers that need the kernel: solids as STEP and STL, both in mm."""

from jigs import kernel as kernel
