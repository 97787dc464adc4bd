"""Checks against values from outside the project, each with its source."""
