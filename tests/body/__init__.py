"""Tests of the body room."""
