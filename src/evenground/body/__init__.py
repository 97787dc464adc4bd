"""The person: sizes, reference population, segment model."""
