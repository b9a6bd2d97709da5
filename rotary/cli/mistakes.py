"""What was typed and not understood, as one sentence: what is wrong, what was likely meant, where the help is."""

from typing import TYPE_CHECKING, Final

import cyclopts

from rotary.cli.values import NoOption
from rotary.cli.words import ALONE
from rotary.errors import brief, listing, nearest_name, single_line

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cyclopts import App, Argument

SAME: Final = {
    "add": "new", "create": "new", "ls": "list", "rm": "delete", "remove": "delete", "mv": "rename", "cp": "copy",
    "status": "show", "get": "show", "view": "show", "search": "list", "undo": "restore", "diff": "compare",
    "help": "--help", "-v": "--version", "version": "--version",
    "fix": "repair", "trash": "bin", "read": "record", "write": "record", "check": "tests", "start": "new",
}  # fmt: skip
"""Words that other tools have for the same."""


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
            return f"these words are too many: {' '.join(map(brief, mistake.unused_tokens or ()))}"
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
    near = nearest_name(word, [*names, "--quiet", "--yes", "--dry-run"])
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
    app = mistake.app
    names = [] if app is None else _commands_of(app)
    within = f"rotary {' '.join(chain)}" if chain else "rotary"
    if chain and word.startswith("-"):
        return f"{brief(word)} stands before the command: write {within} COMMAND {brief(word)}"
    alone = () if chain else ALONE
    near = SAME[word] if SAME.get(word) in (*names, *alone, "--help") else nearest_name(word, [*names, *alone])
    if near:
        return f'{within} has no command "{brief(word)}"; did you mean "{within} {near}"?'
    if not chain and app is not None and (homes := _homes(app, word)):
        return f'there is no command "{brief(word)}"; did you mean "{listing(homes, "or")}"?'
    return f'{within} has no command "{brief(word)}": write one of {", ".join(names)}'


def _commands_of(app: "App") -> list[str]:
    return [name for name in app if not name.startswith("-")]


def _homes(root: "App", word: str) -> list[str]:
    """The words behind which a command of this name, or of one that is the same, stands."""
    meant = {word.casefold(), SAME.get(word.casefold(), "")}
    return [f"rotary {name} {one}" for name in _commands_of(root) for one in _commands_of(root[name]) if one in meant]
