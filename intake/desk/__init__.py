"""The local web application: requests in, pages out; no arithmetic and no SQL."""
