"""Orders may say what they have to be free from."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """A list of allergens on both kinds of orders, empty for those that are there."""

    dependencies = [("records", "0002_append_only")]

    operations = [
        migrations.AddField("standingrow", "free_from", models.JSONField(blank=True, default=list)),
        migrations.AddField("singlerow", "free_from", models.JSONField(blank=True, default=list)),
    ]
