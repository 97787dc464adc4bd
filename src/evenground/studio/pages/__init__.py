"""The pages of a visit: one module a check, and what they share."""
