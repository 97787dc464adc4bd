"""Tests of the studio's records, each on real databases made by the migrations."""
