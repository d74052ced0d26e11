"""What all parts of a display's description have in common."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Parameter

Share = Annotated[float, Parameter(ge=0, le=1)]


class Part(BaseModel):
    """A part of the description: nothing extra, no guessing of types."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, allow_inf_nan=False, hide_input_in_errors=True
    )
