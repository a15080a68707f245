"""From finished records to pages in millimetres."""
