"""Tests of the capture room."""
