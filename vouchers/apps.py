from django.apps import AppConfig


class VouchersConfig(AppConfig):
    name = "vouchers"
    verbose_name = "Vouchers"

    def ready(self) -> None:
        # What the ledger asks of vouchers without knowing them, called by name.
        from ledger.backup import providers
        from vouchers.register.verification import facts_for_backup

        providers.add_register(facts_for_backup)
