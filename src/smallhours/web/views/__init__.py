"""One file a section of the pages."""
