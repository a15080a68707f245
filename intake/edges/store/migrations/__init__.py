"""The steps that bring an older library up to date."""
