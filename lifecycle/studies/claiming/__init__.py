"""What may be said of a roof: statements judged by the figures of one scenario."""

from lifecycle.studies.claiming.claims import Claim, claims
from lifecycle.studies.claiming.judging import CANNOT, DOES_NOT_FIT, FITS, JUDGEMENTS, PARTLY, Ruling

__all__ = ["CANNOT", "DOES_NOT_FIT", "FITS", "JUDGEMENTS", "PARTLY", "Claim", "Ruling", "claims"]
