"""Pure computing on records; no text of a question comes here."""
