"""Finding passages and names: words, BM25, excerpts, spelling-tolerant lookup."""
