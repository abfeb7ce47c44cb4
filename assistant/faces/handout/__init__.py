"""The page that attendees get after a session: recipe, nutrition panel, tips, as HTML or Markdown."""
