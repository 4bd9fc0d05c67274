"""Running a batch: pieces as measured, offsets, settings, errors, order, and jigs that exist.

Numbers only; nothing here loads the kernel.
"""
