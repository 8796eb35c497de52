"""Several days: nights that share a kitchen, what has to be begun on which day, until when an order can be met."""
