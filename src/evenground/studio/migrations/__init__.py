"""How the tables of the studio app came to be, step by step."""
