"""What may be said of a roof: statements judged by the figures of one scenario."""

from lifecycle.studies.claiming.claims import Claim, claims
from lifecycle.studies.claiming.judging import CANNOT, JUDGEMENTS, LIMITED, NOT_SUPPORTED, SUPPORTED, Ruling

__all__ = ["CANNOT", "JUDGEMENTS", "LIMITED", "NOT_SUPPORTED", "SUPPORTED", "Claim", "Ruling", "claims"]
