"""All input and output; each module owns one external resource."""
