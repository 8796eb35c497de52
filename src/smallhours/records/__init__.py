"""What is remembered: Django models, migrations, queries. Only ``mapping`` turns rows into documents and back."""
