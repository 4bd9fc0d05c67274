"""One cited equation per function: floats in, floats out, mm, N, N·mm, MPa, rad. Knows no jig."""
