"""What was typed and not understood, as one sentence: what is wrong, what was likely meant, where the help is."""

from typing import TYPE_CHECKING

import cyclopts

from rotary.cli.values import NoOption
from rotary.cli.words import ALONE, LIKE, LIKE_OPTIONS, WORDS, tree
from rotary.errors import brief, listing, nearest_name, single_line
from rotary.shipped import examples

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cyclopts import App, Argument


def sentence(mistake: cyclopts.CycloptsError, words: list[str]) -> str:
    """A mistake as one line."""
    chain = [word for word in mistake.command_chain or () if word != "rotary"]
    return f"{brief(_what(mistake, chain, words), 320)}; see: {' '.join(['rotary', *chain, '--help'])}"


def _what(mistake: cyclopts.CycloptsError, chain: list[str], words: list[str]) -> str:
    match mistake:
        case cyclopts.UnknownCommandError():
            return _unknown_command(mistake, chain, words)
        case cyclopts.UnknownOptionError():
            return _no_option(mistake.token.keyword or mistake.token.value, mistake.argument_collection)
        case cyclopts.CoercionError() if isinstance(mistake.__cause__, NoOption) and mistake.app is not None:
            return _no_option(str(mistake.__cause__), mistake.app.assemble_argument_collection(), behind=True)
        case cyclopts.UnusedCliTokensError():
            return f"too many words, leave out: {' '.join(map(brief, mistake.unused_tokens or ()))}"
        case cyclopts.RepeatArgumentError():
            return f"{mistake.token.keyword or 'a word'} is written twice: write it once"
        case cyclopts.MissingArgumentError():
            return _missing(mistake)
        case cyclopts.CoercionError() if (
            mistake.msg is None and mistake.target_type is bool and mistake.token is not None
        ):
            return f"{mistake.token.keyword} takes no value: write {mistake.token.keyword}"
        case cyclopts.CoercionError() if mistake.msg is not None:
            token = mistake.token
            name = (token.keyword if token else None) or (mistake.argument.name if mistake.argument else "")
            return f"{name} {mistake.msg}".strip()
    return single_line(str(mistake))


def _no_option(typed: str, arguments: "Iterable[Argument]", behind: bool = False) -> str:
    word = typed.partition("=")[0]
    names = [name for one in arguments for name in one.names if name.startswith("--")]
    if word in (*names, "--help", "--quiet", "--yes", "--dry-run"):
        return f'there is no job "{word}"' if behind else f"{word} takes no value: write {word}"
    every = [*names, "--quiet", "--yes", "--dry-run"]
    near = like if (like := LIKE_OPTIONS.get(word)) in every else nearest_name(word, every)
    return f"there is no option {brief(word)}{f'; did you mean {near}?' if near else ''}"


def _missing(mistake: cyclopts.MissingArgumentError) -> str:
    argument = mistake.argument
    if argument is None:
        return "a word is missing"
    name = argument.name
    if argument.tokens or not name.startswith("-"):
        return f"{argument.names[0] if argument.names else name} is missing: write it"
    return f"{name} is missing or has no value: write one behind it"


def _unknown_command(mistake: cyclopts.UnknownCommandError, chain: list[str], words: list[str]) -> str:
    word = next((word for word in (mistake.unused_tokens or ()) if word), words[len(chain)])
    names = [] if mistake.app is None else _commands_of(mistake.app)
    within = " ".join(["rotary", *chain])
    if chain and word.startswith("-"):
        return f"{brief(word)} stands before the command: write {within} COMMAND {brief(word)}"
    likely = _likely(word, chain, names)
    if not likely and (near := nearest_name(word, [*names, *(() if chain else ALONE)])):
        likely = [f"{within} {near}"]
    what = f'{within} has no command "{brief(word)}"'
    offers = [f'"{line}"' for line in likely[:3]]
    return f"{what}; did you mean {listing(offers, 'or')}?" if offers else f"{what}: write one of {', '.join(names)}"


def _likely(word: str, chain: list[str], names: list[str]) -> list[str]:
    """Whole commands that a word of other tools, or of another group, stands for; and those that take a job."""
    like = LIKE.get(word.casefold(), ())
    if inside := [one for one in like if one in (*names, "--help")]:
        return [f"{' '.join(['rotary', *chain])} {inside[0]}"]
    if alone := [one for one in like if " " in one or one in WORDS or one in ALONE]:
        return [f"rotary {one}" for one in alone]
    root, meant = tree(), {word.casefold(), *like}
    # Most of what is asked for is a saved job.
    groups = sorted(WORDS, key=lambda name: name != "profile")
    homes = [f"rotary {name} {one}" for name in groups for one in _commands_of(root[name]) if one in meant]
    if not homes and chain in ([], ["print"]) and (word in examples() or word.endswith(".toml")):
        named = brief(word)
        homes = [f"rotary print setup {named}"] if chain else [f"rotary open {named}", f"rotary plan {named}"]
    return homes


def _commands_of(app: "App") -> list[str]:
    return [name for name in app if not name.startswith("-")]
