"""The studio app in a real browser."""
