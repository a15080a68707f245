"""Questions to the library, named by what they answer; each is one statement or a few, whatever the size."""
