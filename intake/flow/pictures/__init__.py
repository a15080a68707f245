"""Read picture files and folders; watch a camera."""
