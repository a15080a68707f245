"""An identifier and editions in, ranked candidates out."""
