"""Style sheets: the part of CSS that drawing programs write.

Selectors by type, class, id and attribute, `:first-child`, `:last-child` and `:root`, and the four ways to combine
them; `!important`; `font` in one word. A rule with a selector of any other kind meets nothing.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Set
from typing import Final, NamedTuple

from rotary.artwork.svg.tree import Node
from rotary.artwork.work import MOST_DEPTH, Ledger

Declarations = list[tuple[str, str, bool]]

# Both take what is never closed to the end, so that no text is gone through again and again.
_COMMENT: Final = re.compile(r"/\*.*?(?:\*/|\Z)", re.S)
_PART: Final = re.compile(r"(?:[^;(]|\([^)]*(?:\)|\Z))+")
_IMPORTANT: Final = re.compile(r"!\s*important\s*$", re.I)
_NAME: Final = r"-?[_a-zA-Z\u0080-\uffff][\w\-\u0080-\uffff]*"
_TEST: Final = re.compile(
    rf"(?P<kind>[.#]?)(?P<name>{_NAME})|(?P<any>\*)"
    r"|\[\s*(?P<attribute>[\w:-]+)\s*(?:(?P<how>[~|^$*]?=)\s*(?P<value>\"[^\"]*\"|'[^']*'|[^\]\s]+)\s*)?\]"
    r"|:(?P<state>first-child|last-child|root)(?![\w-])"
)
_COMBINE: Final = re.compile(r"\s*([>+~])\s*|\s+")
_BY_PLACE: Final = re.compile(r":(?:not|is|where|has|nth-|only-|empty|first-of|last-of)")
_FONT: Final = re.compile(
    r"(?P<words>(?:[\w-]+\s+)*?)(?P<size>[\d.]+(?:[a-z]+|%)|(?:xx?-)?(?:small|large)|medium|smaller|larger)"
    r"\s*(?:/\s*\S+)?\s+(?P<family>\S.*)",
    re.S,
)
_LEADING_AT: Final = re.compile(r"@(?:charset|import|namespace)[^;]*;\s*")


class Test(NamedTuple):
    """One condition on one element: of which kind, which name, compared how, with which value."""

    kind: str
    name: str
    how: str = ""
    value: str = ""

    def met_by(self, node: Node) -> bool:
        """Whether the element meets it."""
        if self.kind == "type":
            return node.tag == self.name
        if self.kind == "class":
            return self.name in node.classes
        if self.kind == "id":
            return node.attributes.get("id") == self.name
        if self.kind == "root":
            return node.parent is None
        if self.kind in ("first-child", "last-child"):
            beside = node.parent.content if node.parent is not None else []
            order = beside if self.kind == "first-child" else reversed(beside)
            return node is next((one for one in order if isinstance(one, Node)), None)
        return self._attribute_met(node.attributes.get(self.name))

    def _attribute_met(self, given: str | None) -> bool:
        if given is None:
            return False
        want = self.value
        return {
            "": True,
            "=": given == want,
            "~=": want in given.split(),
            "^=": bool(want) and given.startswith(want),
            "$=": bool(want) and given.endswith(want),
            "*=": bool(want) and want in given,
            "|=": given == want or given.startswith(want + "-"),
        }[self.how]


class Rule(NamedTuple):
    """Compounds from left to right with what stands before each (" ", ">", "+", "~"), and what they declare."""

    rank: tuple[int, int, int, int]
    compounds: list[tuple[str, list[Test]]]
    declarations: Declarations


def declarations(text: str) -> Declarations:
    """Property, value and importance of each declaration.

    >>> declarations("fill: red !important; stroke:none")
    [('fill', 'red', True), ('stroke', 'none', False)]
    """
    out = []
    for part in _PART.findall(_COMMENT.sub("", text)):
        name, colon, value = part.partition(":")
        if colon:
            plain = _IMPORTANT.sub("", value)
            name, value, urgent = name.strip().lower(), plain.strip(), plain != value
            each = _font(value) if name == "font" else {name: value}
            out += [(name, value, urgent) for name, value in each.items()]
    return out


def _font(text: str) -> dict[str, str]:
    """The properties that `font` gives in one; what it does not name is as usual again.

    >>> _font("bold 30px serif")["font-weight"]
    'bold'
    """
    found = _FONT.fullmatch(text)
    if found is None:
        return {}
    out = {f"font-{name}": "normal" for name in ("style", "variant", "weight", "stretch")}
    for word in found["words"].split():
        name = {"italic": "style", "oblique": "style", "small-caps": "variant"}.get(word)
        out[f"font-{name or ('stretch' if word.endswith(('condensed', 'expanded')) else 'weight')}"] = word
    return out | {"font-size": found["size"], "font-family": found["family"]}


STEP_COST: Final = 4  # looking whether a rule fits takes as long as four segments


class StyleSheet:
    """All rules of a file, sorted by what the last compound asks for, so that few are tried on each element.

    Rules that ask for a class or id outside `names`, those of the file, can never fit and are dropped.
    """

    def __init__(self, text: str, names: Set[tuple[str, str]]) -> None:
        self._by_key: dict[tuple[str, str], list[Rule]] = defaultdict(list)
        self.rules = self.not_known = 0
        for rule in _rules(text):
            if rule is None:
                self.not_known += 1
            elif _asked_names(rule) <= names:
                self._by_key[_key(rule.compounds[-1][1])].append(rule)
                self.rules += 1

    def declarations_for(self, node: Node, ledger: Ledger) -> Iterable[tuple[str, str, bool]]:
        """What the rules declare for an element, weakest first."""
        if not self.rules:
            return ()
        attributes = node.attributes
        keys = [("type", node.tag), ("", "")]
        keys += [("class", name) for name in node.classes]
        ledger.spend(len(keys) // 4)
        if "id" in attributes:
            keys.append(("id", attributes["id"]))
        found = [rule for key in keys for rule in self._by_key.get(key, ()) if _meets(node, rule, ledger)]
        found.sort(key=lambda rule: rule.rank)
        ledger.spend(sum(len(rule.declarations) for rule in found) // 4)
        return (each for rule in found for each in rule.declarations)


def _asked_names(rule: Rule) -> Set[tuple[str, str]]:
    return {(test.kind, test.name) for _, tests in rule.compounds for test in tests if test.kind in ("class", "id")}


def _key(compound: list[Test]) -> tuple[str, str]:
    for kind in ("id", "class", "type"):
        for test in compound:
            if test.kind == kind:
                return kind, test.name
    return "", ""


def _meets(node: Node, rule: Rule, ledger: Ledger) -> bool:
    return _fits(node, rule.compounds, len(rule.compounds) - 1, ledger)


def _fits(node: Node, compounds: list[tuple[str, list[Test]]], last: int, ledger: Ledger) -> bool:
    ledger.spend(STEP_COST)
    combine, tests = compounds[last]
    if not all(test.met_by(node) for test in tests):
        return False
    if last == 0:
        return True
    return any(_fits(other, compounds, last - 1, ledger) for other in _related(node, combine, ledger))


def _related(node: Node, combine: str, ledger: Ledger) -> Iterable[Node]:
    parent = node.parent
    if combine == ">":
        return () if parent is None else (parent,)
    if combine == " ":
        return _above(node)
    before: list[Node] = []
    for child in parent.children() if parent is not None else ():
        if child is node:
            break
        before.append(child)
    # To go through them takes its time too, many as they may be.
    ledger.spend(len(before) // 4)
    return before[-1:] if combine == "+" else before


def _above(node: Node) -> Iterable[Node]:
    while node.parent is not None:
        node = node.parent
        yield node


def _rules(text: str) -> Iterable[Rule | None]:
    """All rules that are known here; None for each that asks for the place of an element in a way that is not."""
    text = _COMMENT.sub("", text).replace("<!--", "").replace("-->", "")
    at = order = 0
    while (brace := text.find("{", at)) >= 0:
        end = _closing(text, brace)
        selectors = _LEADING_AT.sub("", text[at:brace].strip())
        # Rules inside @media and its like depend on the screen: they are left out.
        if not selectors.startswith("@"):
            declared = declarations(text[brace + 1 : end])
            for selector in selectors.split(","):
                order += 1
                rule = _rule(selector.strip(), declared, order)
                if rule or _BY_PLACE.search(selector):
                    yield rule
        at = end + 1


def _closing(text: str, brace: int) -> int:
    depth = 0
    for found in re.compile(r"[{}]").finditer(text, brace):
        depth += 1 if found.group() == "{" else -1
        if depth == 0:
            return found.start()
    return len(text)


def _rule(selector: str, declared: Declarations, order: int) -> Rule | None:
    compounds: list[tuple[str, list[Test]]] = []
    ids = classes = types = at = 0
    combine, tests = "", list[Test]()
    while at < len(selector):
        if step := _COMBINE.match(selector, at):
            compounds.append((combine, tests))
            combine, tests = step[1] or " ", []
        elif step := _TEST.match(selector, at):
            test = _test(step)
            if test is not None:
                tests.append(test)
                ids += test.kind == "id"
                classes += test.kind in ("class", "attribute", "first-child", "last-child", "root")
                types += test.kind == "type"
        else:
            return None
        at = step.end()
    compounds.append((combine, tests))
    # No element lies so deep that a longer one could meet it.
    meets = bool(selector) and len(compounds) <= MOST_DEPTH
    return Rule((ids, classes, types, order), compounds, declared) if meets else None


def _test(found: re.Match[str]) -> Test | None:
    if found["name"] is not None:
        return Test({".": "class", "#": "id", "": "type"}[found["kind"]], found["name"])
    if found["attribute"] is not None:
        return Test("attribute", found["attribute"], found["how"] or "", (found["value"] or "").strip("\"'"))
    return Test(found["state"], "") if found["state"] else None
