"""Templates to HTML: a sandboxed Jinja in which everything that a profile says is text, never markup.

Sentences carry marks (see ``generator.operations.steps``) for painted labels and values of record; the filter
``marked`` turns them into boxes and links. Markdown pages are rendered after all that was put into them has
been made inert for Markdown too.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

import markdown
import yaml
from jinja2 import FileSystemLoader, StrictUndefined
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup, escape

from generator.handbook import hazards
from generator.handbook.marks import MARKS, anchor, clean, tag, valued
from generator.operations.steps import (
    LABEL_END,
    LABEL_START,
    VALUE_END,
    VALUE_SPLIT,
    VALUE_START,
    Step,
    plain,
)
from generator.problems import CONTENT

__all__ = [
    "SHEETS_FILE",
    "StepPart",
    "clean",
    "environment",
    "for_html",
    "for_markdown",
    "formula",
    "interface",
    "marked",
    "plain",
    "render",
    "render_markdown",
    "step_parts",
    "tag",
    "valued",
]

SHEETS_FILE = "page-sheets.html"
_MARKED = re.compile(
    f"{LABEL_START}([^{LABEL_END}]*){LABEL_END}"
    f"|{VALUE_START}([^{VALUE_SPLIT}{VALUE_END}]*){VALUE_SPLIT}([^{VALUE_END}]*){VALUE_END}"
)
# ASCII that Markdown could read as markup; written as character references it is text for good.
_MARKDOWN = re.compile(r"[!-+\--/:-@\[-`{-~]")
_FIGURE_ID = re.compile(r"[a-z0-9_.]+")

Encoder = Callable[[str], Markup]


def for_html(text: str) -> Markup:
    """Text made inert for HTML."""
    return escape(text)


def for_markdown(text: str) -> Markup:
    """Text made inert for Markdown and HTML: every mark of punctuation becomes a character reference."""
    return Markup(_MARKDOWN.sub(lambda m: f"&#{ord(m[0])};", text.replace("\n", " ")))  # noqa: S704


def _value(figure_id: str, shown: str, encode: Encoder, *, links: bool) -> Markup:
    if links and _FIGURE_ID.fullmatch(figure_id):
        href = f"{SHEETS_FILE}#{anchor(figure_id)}"
        return Markup('<a class="val" href="{}">{}</a>').format(href, encode(shown))
    return Markup('<span class="val">{}</span>').format(encode(shown))


def marked(text: Any, encode: Encoder = for_html, *, links: bool = True) -> Markup:
    """A sentence with its marks as HTML; markup is passed as it is, all else is text."""
    if isinstance(text, Markup):
        return text
    raw, out, at = clean(str(text), keep=MARKS), Markup(""), 0
    for match in _MARKED.finditer(raw):
        out += encode(_unmarked(raw[at : match.start()]))
        label, figure_id, shown = match.groups()
        if label is not None:
            out += Markup('<span class="tag">{}</span>').format(encode(_unmarked(label)))
        else:
            out += _value(figure_id, _unmarked(shown), encode, links=links)
        at = match.end()
    return out + encode(_unmarked(raw[at:]))


_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789−+")
_RAISED = re.compile(r"[⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺]+|\^(-?[0-9]+(?:\.[0-9]+)?)|_([A-Za-z0-9]+(?:,[A-Za-z0-9]+)*)")


def formula(text: str) -> Markup:
    """A formula with its subscripts (begun by ``_``) and superscripts set as such."""
    out, at = Markup(""), 0
    for match in _RAISED.finditer(text):
        out += escape(text[at : match.start()])
        if match[2]:
            out += Markup("<sub>{}</sub>").format(match[2])
        else:
            out += Markup("<sup>{}</sup>").format(match[0].removeprefix("^").translate(_SUPERSCRIPTS))
        at = match.end()
    return out + escape(text[at:])


def _unmarked(text: str) -> str:
    return "".join(c for c in text if c not in MARKS)


@dataclass(frozen=True)
class StepPart:
    """Steps under one heading; the heading is None before the first."""

    heading: str | None
    steps: tuple[Step, ...]


def step_parts(steps: Iterable[Step]) -> list[StepPart]:
    """Steps grouped under the headings they carry, in order."""
    parts: list[StepPart] = []
    for step in steps:
        if step.heading or not parts:
            parts.append(StepPart(step.heading, (step,)))
        else:
            parts[-1] = StepPart(parts[-1].heading, (*parts[-1].steps, step))
    return parts


@cache
def interface() -> dict[str, Any]:
    """The words of headings, navigation and tables."""
    text = (CONTENT / "wording" / "interface.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


def _finalize(encode: Encoder, value: Any) -> Any:
    """What ``{{ … }}`` prints: markup as it is, everything else as inert text."""
    if isinstance(value, Markup) or value is None or isinstance(value, StrictUndefined):
        return "" if value is None else value
    return encode(clean(plain(str(value))))


@cache
def environment(*, links: bool = True, for_md: bool = False) -> ImmutableSandboxedEnvironment:
    """The environment of all templates. ``links``: whether a printed value leads to its calculation sheet."""
    encode = for_markdown if for_md else for_html
    env = ImmutableSandboxedEnvironment(
        loader=FileSystemLoader(CONTENT),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=partial(_finalize, encode),
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters["marked"] = partial(marked, encode=encode, links=links)
    env.filters["plain"] = plain
    env.filters["quoted"] = lambda text: _KEY.sub("“\\1”", str(text))
    env.filters["tag"] = lambda label: marked(tag(str(label)), encode)
    env.filters["valued"] = lambda figure: marked(valued(figure), encode, links=links)
    env.filters["shown"] = lambda figure: figure.text
    env.filters["parts"] = step_parts
    env.filters["wear"] = hazards.wear
    env.filters["anchor"] = anchor
    env.filters["formula"] = formula
    env.globals.update(ui=interface())
    return env


# A key of the profile, as messages on a screen mark it; on paper it stands between quotation marks.
_KEY = re.compile(r"`([^`]*)`")

# A metric quantity of content with the same in US units behind it in parentheses.
_PAIR = re.compile(
    r"(\d[\d.,]*(?: to \d[\d.,]*)?[ \u00a0](?:°C|L|mm|m³|kg|kPa))"
    r" \(((?:about |half a )?[^()]{1,24}?(?:°F|US gal|US fl oz|quarts?|in|ft³|lb))\)"
)


def us_first(text: str, units: str) -> Markup:
    """Markup of a plant that works in US units: fixed quantities of content have those first."""
    swapped = _PAIR.sub(r"\2 (\1)", text) if units == "us" else text
    return Markup(swapped)  # noqa: S704 - only the order of our own markup's parts has changed


def render(template: str, *, links: bool = True, **context: Any) -> Markup:
    """An HTML template of content/ (path from there) with its context. The result is markup."""
    return Markup(environment(links=links).get_template(template).render(**context))  # noqa: S704


def render_markdown(template: str, **context: Any) -> Markup:
    """A Markdown template: first filled, then turned into HTML; tables get captions and scopes."""
    text = environment(for_md=True).get_template(template).render(**context)
    html = markdown.markdown(text, extensions=["tables", "sane_lists"], output_format="html")
    return Markup(_tables(html))  # noqa: S704


_HEADING = re.compile(r"(<h[1-4][^>]*>.*?</h[1-4]>)", re.DOTALL)


def _tables(html: str) -> str:
    """Captions (the heading above) and scopes for tables that Markdown has made."""
    out, head = [], ""
    for piece in _HEADING.split(html):
        if _HEADING.fullmatch(piece):
            head = re.sub(r"<[^>]+>", "", piece)
        out.append(piece.replace("<table>", _box(head)).replace("</table>", "</table></div>"))
    html = re.sub(r"<th( [^>]*)?>", r'<th scope="col"\1>', "".join(out))
    return re.sub(r"(<tr>\s*)<td>(.*?)</td>", r'\1<th scope="row">\2</th>', html, flags=re.DOTALL)


def _box(caption: str) -> str:
    label = caption.replace('"', "&quot;")
    return (
        f'<div class="scroll" tabindex="0" role="region" aria-label="{label}">'
        f"<table><caption>{caption}</caption>"
    )
