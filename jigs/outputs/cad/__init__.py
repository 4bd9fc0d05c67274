"""Writers that need the kernel: solids as STEP and STL, both in mm."""

import os

# Read by the kernel when it meshes: its usual mesher is slow on faces with many holes. Set before
# anything here is imported, so that a mesh does not depend on who asked first.
os.environ.setdefault("CSF_MeshAlgo", "delabella")
