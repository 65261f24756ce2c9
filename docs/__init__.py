"""Scripts that make what the documents and catalogues hold."""
