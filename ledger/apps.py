from django.apps import AppConfig


class LedgerConfig(AppConfig):
    name = "ledger"
    verbose_name = "Ledger of finds"

    def ready(self) -> None:
        from django.utils.translation import get_language, gettext, ngettext

        from ledger import stored_words, words
        from ledger.backup import providers
        from ledger.search.keeping import rebuild_all

        words.use(gettext, ngettext, get_language)
        stored_words.keep_english()
        providers.add_derived(
            rebuild_all,
            *("ledger.findindex", "ledger.searchword", "ledger.worduse", "ledger.nameofword"),
            *("ledger.mapcount", "ledger.seasoncount", "ledger.countmove"),
        )
