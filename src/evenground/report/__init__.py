"""Findings to paper: card, strip, build sheet."""
