"""The head baker's nouns, frozen and pure: formula, kitchen, process, orders.

Each package imports only those before it: quantity, document, ingredient, formula, kitchen, process, orders.
"""
