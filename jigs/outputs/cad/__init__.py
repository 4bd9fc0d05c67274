"""Writers that need the kernel: solids as STEP and STL, both in mm."""
