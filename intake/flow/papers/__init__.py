"""Every paper: what it gathers, how it is laid out, which formats it has."""
