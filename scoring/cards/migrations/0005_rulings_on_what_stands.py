from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [("cards", "0004_fill_standing_lines")]

    operations = [migrations.RemoveField(model_name="cardline", name="on_top")]
