"""What can be done with the store, one verb a file: command, permission, transaction, line of the log.

The terminal, the pages and the imports all call the same verb.
"""
