"""What a roof takes: coating by the can, weight on the axles, sealant by the cartridge.

Lecture
-------
A layer of dry film f on an area A holds A f of solids. Of what is sprayed only the share v (volume
solids) stays when it has dried, and only the share e (transfer efficiency) lands on the roof::

    volume sprayed = A f / (v e)             weight added = A f * density of the dry film
    coverage       = v e / f                 [area a volume]

A film of 1 mm on 1 m2 is 1 L. The coating is a base layer, laid in crossing coats, and a topcoat.
Stripping the old membrane gives weight back. What is left is held against two limits:

- the cargo capacity on the coach's label;
- before the first retail sale, weight added beyond the lesser of a share of the gross rating and a
  fixed weight goes on the label (72 FR 68442).

A bead of sealant w wide and h high along joints of length J, with a share z wasted on top, takes::

    cartridges = J w h (1 + z) / volume of a cartridge        rounded up to whole ones

a round bead of diameter d has the section pi d^2 / 4.

Assumed: even film; overspray lands elsewhere than on the coach. Left out: primer, masking,
the wood that is replaced, sealant that is taken away.

Source
------
Geometry: a US gallon of 231 cubic inches covers 1,604 sq ft one mil thick, the trade's printed
constant. Label rule: 72 FR 68442 (49 CFR 567, 571.110).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Any

import numpy as np


@dataclass(frozen=True)
class Layer:
    """One layer of coating; each a float or of shape (draws,).

    Parameters
    ----------
    film : float or ndarray
        Dry film; 0: there is no such layer. [mm]
    volume_solids : float or ndarray
        Share of the volume that stays when it has dried. [-]
    transfer : float or ndarray
        Share of what is sprayed that lands on the roof. [-]
    density : float or ndarray
        Of the dry film. [kg/L]
    coats : float
        In how many coats it is laid.
    """

    film: Any
    volume_solids: Any
    transfer: Any
    density: Any
    coats: float = 1.0


@dataclass(frozen=True)
class LayerMaterial:
    """What one layer takes; each a float or of shape (draws,).

    Parameters
    ----------
    film, film_a_coat : float or ndarray
        Dry film, and of one coat. [mm]
    volume : float or ndarray
        To be sprayed. [L]
    weight : float or ndarray
        That it adds, dry. [kg]
    coats : float
        In how many coats it is laid.
    """

    film: Any
    film_a_coat: Any
    volume: Any
    weight: Any
    coats: float


@dataclass(frozen=True)
class Coating:
    """Base layer and topcoat of a roof, and what is taken off before; weights a float or of shape (draws,).

    Parameters
    ----------
    base, topcoat : LayerMaterial
        What the two layers take.
    added : float or ndarray
        Weight of both. [kg]
    given_back : float or ndarray
        Weight of the membrane that is stripped. [kg]
    """

    base: LayerMaterial
    topcoat: LayerMaterial
    added: Any
    given_back: Any

    @property
    def net_weight(self) -> Any:
        """Weight that the coach gains; negative: it loses some. [kg]"""
        return self.added - self.given_back


@dataclass(frozen=True)
class WeightCheck:
    """The weight that a coach gains against its limits.

    Parameters
    ----------
    net_weight : float
        That it gains. [kg]
    cargo_capacity : float or None
        On its label; None if it was not read. [kg]
    left : float or None
        Cargo capacity left afterwards; negative: too heavy. [kg]
    label_limit : float or None
        Weight beyond which the label must say it, before the first retail sale; None without the
        gross rating. [kg]
    """

    net_weight: float
    cargo_capacity: float | None
    left: float | None
    label_limit: float | None

    @property
    def too_heavy(self) -> bool:
        """Whether it is more than the cargo capacity, if that is known."""
        return self.left is not None and self.left < 0.0

    @property
    def on_label(self) -> bool:
        """Whether a coach not yet sold at retail must say it on its label, if the limit is known."""
        return self.label_limit is not None and self.net_weight > self.label_limit


def layer_material(layer: Layer, area: Any) -> LayerMaterial:
    """Coating that a layer takes on an area.

    Parameters
    ----------
    layer : Layer
        A film of 0 takes nothing.
    area : float or ndarray, shape (draws,)
        To be sprayed. [m2]

    Returns
    -------
    LayerMaterial

    Raises
    ------
    ValueError
        If solids or transfer are not within 0 (left out) to 1, the film is negative, or there is no
        coat.

    Examples
    --------
    >>> found = layer_material(Layer(2.0, 0.5, 0.8, 1.1, coats=2.0), 10.0)
    >>> found.volume, found.weight, found.film_a_coat
    (50.0, 22.0, 1.0)
    """
    _check(layer)
    dry = area * layer.film
    return LayerMaterial(
        film=layer.film,
        film_a_coat=layer.film / layer.coats,
        volume=dry / (layer.volume_solids * layer.transfer),
        weight=dry * layer.density,
        coats=layer.coats,
    )


def coating(base: Layer, topcoat: Layer, *, area: Any, stripped_area: Any, membrane_weight: Any) -> Coating:
    """Coating of a roof in its two layers, the weight it adds and the weight that stripping gives back.

    Parameters
    ----------
    base, topcoat : Layer
        The two layers.
    area : float or ndarray, shape (draws,)
        To be sprayed, edge returns included. [m2]
    stripped_area : float or ndarray, shape (draws,)
        From which the membrane is taken off; 0 if it stays. [m2]
    membrane_weight : float or ndarray, shape (draws,)
        Of the membrane. [kg/m2]

    Returns
    -------
    Coating

    Raises
    ------
    ValueError
        As for `layer_material`.
    """
    layers = layer_material(base, area), layer_material(topcoat, area)
    return Coating(*layers, layers[0].weight + layers[1].weight, stripped_area * membrane_weight)


def label_limit(gross_rating: float, *, share: float, weight: float) -> float:
    """Weight beyond which a coach not yet sold at retail must say it on its label (72 FR 68442).

    Parameters
    ----------
    gross_rating : float
        Gross vehicle weight rating. [kg]
    share : float
        Share of it. [-]
    weight : float
        Fixed weight. [kg]

    Returns
    -------
    float
        The lesser of the two. [kg]

    Examples
    --------
    >>> label_limit(2000.0, share=0.015, weight=45.0), label_limit(9000.0, share=0.015, weight=45.0)
    (30.0, 45.0)
    """
    return min(share * gross_rating, weight)


def weight_check(
    net_weight: float, *, cargo_capacity: float | None = None, label_limit: float | None = None
) -> WeightCheck:
    """Hold the weight that a coach gains against its limits.

    Parameters
    ----------
    net_weight : float
        That it gains. [kg]
    cargo_capacity : float or None
        On its label. [kg]
    label_limit : float or None
        As `label_limit` returns it. [kg]

    Returns
    -------
    WeightCheck
        An unknown limit is passed over.
    """
    left = None if cargo_capacity is None else cargo_capacity - net_weight
    return WeightCheck(net_weight, cargo_capacity, left, label_limit)


def ribbon_section(width: Any, height: Any) -> Any:
    """Section of a flat bead of sealant. [mm2 from mm]

    Examples
    --------
    >>> ribbon_section(38.0, 3.0)
    114.0
    """
    return width * height


def bead_length(cartridge: Any, section: Any) -> Any:
    """Length of bead that a cartridge gives.

    Parameters
    ----------
    cartridge : float or ndarray
        Volume of a cartridge. [mL]
    section : float or ndarray
        Section of the bead. [mm2]

    Returns
    -------
    float or ndarray
        [m]

    Examples
    --------
    >>> bead_length(300.0, 100.0)
    3.0
    """
    return cartridge / section


def cartridges(joint_length: float, *, section: float, cartridge: float, waste: float) -> int:
    """Whole cartridges of sealant for a length of joints.

    Parameters
    ----------
    joint_length : float
        To be sealed. [m]
    section : float
        Section of the bead. [mm2]
    cartridge : float
        Volume of a cartridge. [mL]
    waste : float
        Share that is wasted on top. [-]

    Returns
    -------
    int

    Raises
    ------
    ValueError
        If section or cartridge are not above 0.

    Examples
    --------
    >>> cartridges(26.0, section=121.0, cartridge=300.0, waste=0.1)
    12
    """
    if section <= 0.0 or cartridge <= 0.0:
        raise ValueError(f"bead and cartridge must be above 0; got {section} mm2 and {cartridge} mL")
    whole: int = ceil(joint_length * (1.0 + waste) / bead_length(cartridge, section) - 1e-9)
    return whole


def _check(layer: Layer) -> None:
    """Check what no layer can do without."""
    for name in ("volume_solids", "transfer"):
        share = np.asarray(getattr(layer, name))
        if not np.all((share > 0.0) & (share <= 1.0)):
            raise ValueError(f"{name} must be above 0 and at most 1; got {getattr(layer, name)}")
    if not np.all(np.asarray(layer.film) >= 0.0) or layer.coats < 1.0:
        raise ValueError(f"a layer needs a film and a coat; got {layer.film} mm in {layer.coats} coats")
