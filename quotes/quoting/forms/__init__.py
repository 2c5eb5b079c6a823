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
from quotes.quoting.forms.stages import PlanForm, plan_initial

__all__ = [
    "ASKED_FORMS", "AddLineForm", "AskedForm", "ChangeLineForm", "PlanForm", "SampleForm",
    "SendForm", "SmallJobForm", "SpareCostForm", "StartForm", "TermsForm", "VatDocumentForm",
    "WordsForm", "plan_initial", "terms_initial",
]  # fmt: skip
