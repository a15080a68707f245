"""All input and output; each module owns one outside thing."""
