"""Files and servers of other people: the interchange formats of libraries, publishers and spreadsheets."""
