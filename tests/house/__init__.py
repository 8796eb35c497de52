"""The rules of the house, as pure functions over text: each returns its complaints, one sentence each."""
