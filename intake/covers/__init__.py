"""Covers as identity: local features, a short list by an inverted file, and the proof by one homography."""
