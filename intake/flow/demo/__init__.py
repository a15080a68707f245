"""The whole line on the scans that come with the tool."""
