"""From an unopened box to a shelved, labelled and insured copy."""
