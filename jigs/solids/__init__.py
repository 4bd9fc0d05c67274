"""Parts as true solids, and what is measured on them. Only here, in outputs/cad and in the viewer
does the kernel come in."""

import os

# Read by the kernel when it meshes: its usual mesher is slow on faces with many holes. Set before
# anything here is imported, so that a mesh does not depend on who asked first.
os.environ.setdefault("CSF_MeshAlgo", "delabella")
