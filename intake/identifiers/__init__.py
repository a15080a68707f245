"""Text in, identifier or reason out: ISBN, ISSN, ISMN, GTIN, add-ons and the tool's own numbers."""
