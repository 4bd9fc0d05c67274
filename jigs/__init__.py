"""Parametric clamping jigs for machining the ends of handled wooden things on a CNC router."""

from importlib.metadata import version

__version__ = version("jigs")
