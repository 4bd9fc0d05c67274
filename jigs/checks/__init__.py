"""One module per group of checks. A check is a small function that returns Findings; it needs the
model and, for solids, the Geometry interface, never the kernel."""
