"""Parts as true solids, and what is measured on them. Only here, in outputs/cad and in the viewer
does the kernel come in."""

from jigs import kernel as kernel
