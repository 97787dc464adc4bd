"""Raw data to estimates; pure: arrays in, results out, no files, no clock."""
