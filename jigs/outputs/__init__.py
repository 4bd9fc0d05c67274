"""One writer a format. Everything but `cad` works without the kernel.

A writer takes what it writes and the path of one file, and the same input gives the same bytes on
every run: no dates, no random numbers, no order by memory address.
"""
