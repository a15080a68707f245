"""From text to an identifier, or to the reason why it is not one: ISBN, ISSN, ISMN, GTIN, add-ons, own numbers."""
