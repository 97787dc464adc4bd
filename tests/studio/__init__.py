"""The studio app."""
