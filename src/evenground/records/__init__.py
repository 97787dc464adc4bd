"""The studio's records: the log of readings and the blobs it names are the truth; all else is computed."""
