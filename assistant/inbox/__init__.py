"""Messages in, sorted and drafted sheets out. Nothing is sent; nothing leaves the machine."""
