"""Plain files -> typed records, located errors, and the corpus that answers."""
