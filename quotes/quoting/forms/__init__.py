"""Forms of quotes. Who may not see costs is not asked for them, nor told them."""

from quotes.quoting.forms.asked import (
    ASKED_FORMS,
    AskedForm,
    SampleForm,
    SmallJobForm,
    SpareCostForm,
    VatDocumentForm,
)
from quotes.quoting.forms.drafts import (
    AddLineForm,
    ChangeLineForm,
    SendForm,
    StartForm,
    TermsForm,
    WordsForm,
    terms_initial,
)

__all__ = [
    "ASKED_FORMS", "AddLineForm", "AskedForm", "ChangeLineForm", "SampleForm", "SendForm",
    "SmallJobForm", "SpareCostForm", "StartForm", "TermsForm", "VatDocumentForm", "WordsForm",
    "terms_initial",
]  # fmt: skip
