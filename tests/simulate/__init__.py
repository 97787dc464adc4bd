"""Known-truth generators."""
