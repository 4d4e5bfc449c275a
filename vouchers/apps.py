from django.apps import AppConfig


class VouchersConfig(AppConfig):
    name = "vouchers"
    verbose_name = "Vouchers"
