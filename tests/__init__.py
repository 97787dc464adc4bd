"""Checks of Evenground."""
