"""The pages of a visit."""
