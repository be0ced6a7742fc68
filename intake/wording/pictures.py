"""What a picture was taken for, and what is wrong with it."""

from __future__ import annotations

PICTURES = {
    "handwriting-small": "Too small to read: the handwriting is about {pixels} pixels high.",
    "side-short": "Too small to read: only {pixels} pixels on the long side.",
    "shrunk-since-taken": "Shrunk on its way: taken {taken} pixels long, arrived {here}.",
    "shrunk-to-a-size": "Shrunk on its way: {here} pixels long, a size that mail and chat apps shrink to, and the"
    " camera's own data are gone.",
    "shrunk-and-pressed": "Shrunk on its way: {here} pixels long and pressed hard (JPEG quality about {quality}), the"
    " camera's own data gone.",
    "strokes-blurred": "Blurred: the edges of its strokes are {edge} pixels wide (sharp: 2 to 3).",
    "unsharp": "Blurred: sharpness {found} (sharp: {sharp} and more).",
    "dark": "Dark: brightness {light} of 255.",
    "glare": "Glare: {percent}% of the picture is burnt out.",
    "in-view": "In view: {what}.",
    "in-view-floor": "the floor in {shown} of the {of} that tell",
    "in-view-ceiling": "the ceiling in {shown} of the {of} that tell",
    "too-few-to-join": "Too few photographs of the room to join them up.",
    "none-joined": "None of the {count} photographs of the room could be joined to another: what they cover is not"
    " known.",
    "not-placed": "{count} more could not be placed.",
    "joined-all-round": "{count} photographs join up all the way round the room. {left}",
    "gap-in-the-round": "About {degrees} degrees are missing, to the right of picture {picture}.",
    "joined": "{count} photographs join up and show about {degrees} of 360 degrees. {left} {missing}",
    "not-opened": "It could not be opened, so what it shows is not known.",
    "named-beside": "The words beside it name the {what}.",
    "tracking-pixel": "It is only {across} x {down} pixels: a tracking pixel or a ruled line.",
    "icon": "At {across} x {down} pixels it is an icon or a banner.",
    "logo": "At {across} x {down} pixels it is most likely a signature's logo.",
    "almost-black": "It is almost black.",
    "bare-page": "There is nothing on it: an empty page or a bare wall.",
    "named-on-a-label": "A label in it names the {what}: “{words}”.",
    "paper-mostly": "mostly even and pale, {strokes}",
    "paper-partly": "partly even and pale, {strokes}",
    "paper-hardly": "little of it even and pale, {strokes}",
    "strokes": "with thin strokes",
    "no-strokes": "hardly any thin strokes",
    "words-say-so": "; the words beside it say so too",
    "looks-like": "It looks like {what}: {seen}{words}.",
    "is-probably": "It is probably {what}: {seen}{words}. It could also be {other}. {speaks}",
    "may-be": "It may be {what}: {seen}{words}. It could also be {other}. {speaks}",
    "mail-speaks-of": "The mail speaks of the {what}: choose that if this is it.",
    "shows-sketch": "a drawn plan",
    "shows-room": "a photograph of the room",
    "shows-document": "a printed page",
    "shows-screenshot": "a screenshot",
    "designer-said-so": "A designer said so.",
    "no-plan-read": "No plan could be read in it, so it is taken for a view of the room.",
    "plan-too-small": "The picture is too small to read (its long side is under 800 pixels): ask for the original"
    " photograph.",
    "writing-tiny": "The writing in this picture is too small or too faint to read: ask for the original, or one from"
    " nearer.",
    "blank-picture": "The picture shows nothing: it is all one shade.",
    "no-sketch": "No hand-drawn plan with dimensions was found in this picture.",
    "page-of-text": "This is a page of writing, not a plan.",
    "two-sketches": "There seem to be two plans in this picture: ask for one photograph of each, or check every"
    " number.",
    "photo-of-a-screen": "This looks like a photograph of a screen; its pattern can hide digits, so ask for the"
    " original picture.",
}
