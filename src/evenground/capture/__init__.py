"""How data gets in: bundles, recordings, layouts. The only room that reads foreign files."""
