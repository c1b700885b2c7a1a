"""Numbers about questions and about those who judge, over the tables of ``kit.tables``.

Each figure has its n and a 95 % interval, and is hidden below a stated n. First tries alone count; practice
and supervised sittings are never added up. A figure shows where to look: it decides about nobody.

Needs ``pip install 'smokehouse-kit[statistics]'``.
"""

from kit.statistics.agreement import (
    agreement_by_month,
    cohen_kappa,
    days_until_entered,
    fleiss_kappa,
    krippendorff_alpha,
    overturned,
)
from kit.statistics.copying import alike
from kit.statistics.crew_over_time import (
    BAND,
    begun_days,
    days_to_master,
    forecast,
    progress_by_week,
    refreshers,
    steps_mastered,
)
from kit.statistics.cut_scores import angoff_cut, borderline_cut
from kit.statistics.feedback import declared_slips, idle_slips, second_tries, slip_shares
from kit.statistics.items import (
    answer_table,
    first_meetings,
    measured_facility,
    question_figures,
    version_changes,
)
from kit.statistics.judging_over_time import drift, judging_by_month, shared_ratings
from kit.statistics.mending import questions_to_mend
from kit.statistics.rasch import persons, rasch
from kit.statistics.rasch_marginal import rasch_marginal
from kit.statistics.reliability import alpha, error_of_measurement, kr20, kr21

__all__ = [
    "BAND",
    "agreement_by_month",
    "alike",
    "alpha",
    "angoff_cut",
    "answer_table",
    "begun_days",
    "borderline_cut",
    "cohen_kappa",
    "days_to_master",
    "days_until_entered",
    "declared_slips",
    "drift",
    "error_of_measurement",
    "first_meetings",
    "fleiss_kappa",
    "forecast",
    "idle_slips",
    "judging_by_month",
    "kr20",
    "kr21",
    "krippendorff_alpha",
    "measured_facility",
    "overturned",
    "persons",
    "progress_by_week",
    "question_figures",
    "questions_to_mend",
    "rasch",
    "rasch_marginal",
    "refreshers",
    "second_tries",
    "shared_ratings",
    "slip_shares",
    "steps_mastered",
    "version_changes",
]
