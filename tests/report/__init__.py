"""Tests of cards, strips and build sheets."""
