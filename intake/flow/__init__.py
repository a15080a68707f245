"""The story of the work, one short file each."""
