"""At the open box: book a scan, answer a station, decide what waits on the query pile."""
