"""What a person can do at the desk besides unpacking: each a form, a plan looked at, and a step taken."""
