"""A sample sign of each template, for a gallery or a preview; drawing it is a writer's work."""

from collections.abc import Mapping

from schedule2sign.layout.fields import Template
from schedule2sign.model.sign import Message, Role, Side, SignRequest
from schedule2sign.model.source import Source


def sample_request(
    template: Template, texts: Mapping[Role, str] | None = None, pictogram: str = "", insert: str = ""
) -> SignRequest:
    """A request that shows a template with its own sample text.

    Args:
        template: the template to show.
        texts: text by role instead of the samples, a line each message; a role left out is not shown.
        pictogram: name of the drawing, or "star"; "" takes the first drawing the template has.
        insert: flat text instead of the sample's.
    """
    wanted = {field.role: field.sample for field in template.texts} if texts is None else dict(texts)
    messages = tuple(
        Message(role=field.role, text=text, code=field.codes[turn] if turn < len(field.codes) else "")
        for field in template.texts
        for turn, text in enumerate(wanted.get(field.role, "").splitlines())
        if text
    )
    if template.pictogram and template.pictogram.drawings:
        pictogram = pictogram or template.pictogram.drawings[0].name
    return SignRequest(
        sign_id=f"SAMPLE-{template.name.upper()}",
        source=Source(file="sample", sheet="", row=1),
        door="",
        room_number=wanted.get(Role.NUMBER, ""),
        level=wanted.get(Role.LEVEL, ""),
        name_as_given=wanted.get(Role.NAME, ""),
        messages=messages,
        template=template.name,
        side=Side.CORRIDOR,
        rule="sample",
        reason="A sample of the template.",
        pictogram=pictogram,
        insert_text=insert or (template.visual.sample if template.visual else ""),
    )
