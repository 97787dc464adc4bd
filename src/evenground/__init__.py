"""Evenground turns a golf studio's measurements of one player into a setup that fits their body."""

__all__ = ["__version__"]

__version__ = "0.1.0"
