"""What a reader of a PDF meets: its structure, its alternative texts, its words."""

import pikepdf

STANDARD = (  # ISO 32000-1, 14.8.4
    "Document Part Sect Div P H1 H2 H3 H4 H5 H6 L LI Lbl LBody Table TR TH TD THead TBody TFoot "
    "Span Figure Caption Link Note Reference Code Quote NonStruct"
)
ENGLISH_WORDS = r"\b(?:the|and|with|from|tiers?|mats?|shelf|glue|card|side view|open|wide|long|high)\b"


def structure(document):
    """Every structure element with its parents, outermost first, in reading order."""
    roles = {str(k): str(v) for k, v in (document.Root.StructTreeRoot.get("/RoleMap") or {}).items()}

    def kind(element):
        name = str(element.S)
        while name in roles:
            name = roles[name]
        return name.lstrip("/")

    def walk(node, above):
        kids = node.get("/K", [])
        for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
            if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                yield kind(kid), kid, above
                yield from walk(kid, (*above, kind(kid)))

    return list(walk(document.Root.StructTreeRoot, ()))


def alternatives(document):
    """Every alternative text of a tagged PDF, depth first. Source: ISO 32000-1, 14.9.3."""
    todo, found = [document.Root.StructTreeRoot], []
    while todo:
        node = todo.pop()
        if isinstance(node, pikepdf.Dictionary):
            if "/Alt" in node:
                found.append(str(node.Alt))
            if "/K" in node:
                todo.append(node.K)
        elif isinstance(node, pikepdf.Array):
            todo.extend(node)
    return found


def flat(text):
    """The text as one line, with what only guides the eye taken out."""
    text = text.replace("\u200b", "").replace("\ufffe", "-")
    return " ".join(text.split())
