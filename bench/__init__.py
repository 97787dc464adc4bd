"""How fast, compared with what; and the full simulation counts behind the stated errors."""
