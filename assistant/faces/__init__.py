"""The only code that prints or prompts."""
