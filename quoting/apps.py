"""The quoting room as a Django app."""

from __future__ import annotations

from django.apps import AppConfig


class QuotingConfig(AppConfig):
    """Designs, prices, offers, invoices and the client's pages."""

    name = "quoting"
    verbose_name = "Quoting"

    def ready(self) -> None:
        from events.booking import event_sections
        from events.calendar import agenda
        from events.jobs import calling_off, changes
        from events.jobs.search import finders
        from events.loadout import crew_links
        from events.progress import event_pictures
        from events.schedule import wind_limits
        from quoting.build_sheet import on_event as build_sheets
        from quoting.design_library.on_opening import order_starters
        from quoting.invoices import called_off as settling_called_off
        from quoting.invoices import deposits, presenter
        from quoting.letters.settings_tab import mail_texts_tab
        from quoting.offers import called_off, deposit, postponed
        from quoting.offers import on_event as offers
        from quoting.on_event import quoting_sections
        from quoting.on_search import find_papers
        from quoting.pricing.first_steps import set_your_rates
        from quoting.pricing.settings_tab import client_terms_tab, rates_tab
        from quoting.stills import small as small_pictures
        from quoting.supplies import on_event as supplies
        from studio.people import first_steps, opening, settings_tabs

        first_steps.register(set_your_rates)
        settings_tabs.register(rates_tab)
        settings_tabs.register(client_terms_tab)
        settings_tabs.register(mail_texts_tab)
        opening.after_opening.register(order_starters)
        event_sections.register(quoting_sections)
        finders.register(find_papers)
        event_pictures.register(small_pictures.of_events)
        crew_links.register(build_sheets.build_sheet_papers)
        wind_limits.register(build_sheets.wind_limits)
        agenda.register(offers.offers_about_to_lapse)
        agenda.register(offers.waiting_offers)
        agenda.register(presenter.overdue_invoices)
        agenda.register(settling_called_off.payments_to_decide)
        agenda.register(supplies.supplies_due)
        changes.register(postponed.follow_move)
        calling_off.register(called_off.follow_calling_off)
        calling_off.register_on_again(settling_called_off.end_decision)
        deposit.register(deposit.Issuer(deposits.hold_for_deposit, deposits.deposit_due))
