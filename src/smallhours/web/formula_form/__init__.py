"""The formula as a form: what is typed, read into a document; a document, written as what could be typed."""
