"""What was typed and not understood, as one sentence: what is wrong, what was likely meant, where the help is."""

from collections.abc import Iterable
from pathlib import Path

import cyclopts

from rotary.cli.help_text import options
from rotary.cli.values import NoOption
from rotary.cli.words import ALONE, LIKE, WORDS, tree
from rotary.errors import brief, listing, nearest_name, single_line
from rotary.files import is_there
from rotary.shipped import examples


def sentence(mistake: cyclopts.CycloptsError, words: list[str]) -> str:
    """A mistake as one line."""
    chain = [word for word in mistake.command_chain or () if word != "rotary"]
    what = brief(_what(mistake, chain, words), 320)
    return f"{what}{'' if what.endswith('?') else '.'} Help: {' '.join(['rotary', *chain, '--help'])}"


def _what(mistake: cyclopts.CycloptsError, chain: list[str], words: list[str]) -> str:
    match mistake:
        case cyclopts.UnknownCommandError():
            return _unknown_command(mistake, chain, words)
        case cyclopts.UnknownOptionError(token=token, argument_collection=arguments):
            return _no_option(token.keyword or token.value, arguments)
        case cyclopts.CoercionError(__cause__=NoOption() as option, app=cyclopts.App() as app):
            return _no_option(str(option), app.assemble_argument_collection(), behind=True)
        case cyclopts.UnusedCliTokensError(unused_tokens=tokens):
            more = " ".join(brief(one) or "(nothing)" for one in tokens or ())
            return f'too many words: leave out "{more}", or put words that belong together in quotes'
        case cyclopts.RepeatArgumentError(token=token):
            return f"{token.keyword or 'a word'} is written twice: write it once"
        case cyclopts.MissingArgumentError(argument=cyclopts.Argument() as argument):
            meaning = _meaning(argument, mistake.app)
            if argument.index is not None:
                return f"{argument.name.lstrip('-').upper()} is missing: after the command write {meaning}"
            return _no_value(argument.name, words, meaning)
        case cyclopts.CoercionError(msg=None, token=cyclopts.Token() as token) if mistake.target_type is bool:
            return f"{token.keyword} takes no value: write {token.keyword}"
        case cyclopts.CoercionError(msg=str(msg), token=token, argument=argument):
            place = argument is not None and argument.index is not None and not (token and token.keyword)
            name = (token and token.keyword) or (argument and argument.name) or ""
            name = name.lstrip("-").upper() if place else name
            return f"{name} {msg}".strip()
    return single_line(str(mistake))


def _meaning(argument: cyclopts.Argument, app: cyclopts.App | None) -> str:
    """What the help says of a word or an option."""
    rows = options(app) if app is not None else []
    return next((row.meaning for row in rows if row.field == argument.field_info.name), "a value")


def _no_option(typed: str, arguments: Iterable[cyclopts.Argument], behind: bool = False) -> str:
    word = typed.partition("=")[0]
    every = [name for one in arguments if one.parse for name in one.names if name.startswith("--")]
    every += ["--quiet", "--yes", "--dry-run"]
    if word in (*every, "--help"):
        return f'there is no job "{word}"' if behind else f"{word} takes no value: write {word}"
    if word == "-":
        return '"-" can\'t stand for this file: write the file\'s name (only JOB can be "-")'
    if is_there(Path(typed)):
        return f"{brief(typed)} begins with a dash: write ./{brief(typed)}"
    if word in ALONE:
        return f"{word} is used without a command: write rotary {word}"
    # The dashes are alike in all.
    bare = {name.strip("-"): name for name in every}
    likes = (like for like in LIKE.get(word, ()) if like in every)
    near = next(likes, None) or bare.get(nearest_name(word.strip("-"), bare))
    return f"there is no option {brief(word)}{f'. Did you mean {near}?' if near else ''}"


def _no_value(option: str, words: list[str], meaning: str) -> str:
    """What is wrong behind an option that needs a value."""
    after = words[words.index(option) + 1 :][:1] if option in words else []
    if after == ["-"]:
        return f'{option} can\'t be "-": write a name (only JOB can be "-")'
    if after and after[0].startswith("-") and not after[0].startswith("--"):
        return f"{brief(after[0])} begins with a dash: write {option}={brief(after[0])}"
    where = "has no value: write one after it" if option in words else f"is missing: add {option} and a value"
    return f"{option} {where}. What it is for: {meaning}"


def _unknown_command(mistake: cyclopts.UnknownCommandError, chain: list[str], words: list[str]) -> str:
    word = next((word for word in (mistake.unused_tokens or ()) if word), words[len(chain)])
    names = [] if mistake.app is None else _commands_of(mistake.app)
    within = " ".join(["rotary", *chain])
    if word in ALONE:
        return f"{word} is used without a command: write rotary {word}"
    if chain and word.startswith("-"):
        inside = [] if mistake.app is None else [mistake.app[name].assemble_argument_collection() for name in names]
        if not any(word.partition("=")[0] in one.names for arguments in inside for one in arguments):
            return f"there is no option {brief(word)}"
        return f"{brief(word)} has to follow the command: write {within} COMMAND {brief(word)}"
    likely = [f"{within} {word.casefold()}"] if word.casefold() in names else _likely(word, chain, names)
    if not likely and (near := nearest_name(word, [*names, *(() if chain else ALONE)])):
        likely = [f"{within} {near}"]
    if not likely and word.startswith("-"):
        return f"{brief(word)} has to follow the command: write {within} COMMAND {brief(word)}"
    what = f'{within} has no command "{brief(word)}"'
    offers = [f'"{line}"' for line in likely[:3]]
    return f"{what}. Did you mean {listing(offers, 'or')}?" if offers else f"{what}: write {listing(names, 'or')}"


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


def _commands_of(app: cyclopts.App) -> list[str]:
    return [name for name in app if not name.startswith("-")]
