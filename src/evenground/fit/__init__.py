"""Estimates to a setup; pure: no files, no clock."""
