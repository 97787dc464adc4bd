"""Tests of the measure room."""
