"""Tables people already have (CSV, XLSX), read as orders, prices and ingredients. Nothing here writes."""
