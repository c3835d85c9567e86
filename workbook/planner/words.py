"""Words and units: labels of components, policies and duties, and the unit a header carries."""

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["CAUTIONS", "POLICY_LABELS", "Words"]

POLICY_LABELS = {
    "run_to_failure": "Run to failure",
    "planned": "Planned replacement",
    "present_practice": "Present practice",
    "own_policy": "Own policy",
}

CAUTIONS = (
    "A worn, noisy or loose part is replaced on its condition, whatever life is predicted for it here.",
    "Work under a vehicle only on rated stands or a lift, never under a vehicle held by a jack alone.",
    "Keep hands, hair and clothing clear of rotating shafts; secure the vehicle before turning a shaft by hand.",
    "Changing a vehicle's ride height may need approval, and changes its joint angles and handling.",
    "The manufacturer's procedures, local codes and licensed practice come first; figures here only help to plan.",
)

_FLEET_DUTIES = {"fleet": "fleet mix", "all": "fleet mix"}


@dataclass(frozen=True)
class Words:
    """Labels and units of one plan.

    Parameters
    ----------
    distance : str
        The fleet's distance unit, of all ages and distances.
    currency : str
        The fleet's currency.
    labels : mapping of str to str
        Label by component code.
    """

    distance: str
    currency: str
    labels: Mapping[str, str]

    def component(self, code: str) -> str:
        """Label of a component."""
        return self.labels.get(code) or code.replace("_", " ").capitalize()

    def policy(self, code: str) -> str:
        """Label of a policy."""
        return POLICY_LABELS.get(code) or code.replace("_", " ").capitalize()

    @property
    def policies(self) -> tuple[str, ...]:
        """Codes of the policies, in the order they are shown."""
        return tuple(POLICY_LABELS)

    def duty(self, code: str) -> str:
        """Duty as shown; the fleet's mix by its words."""
        return _FLEET_DUTIES.get(code, code)
