"""Print a completion script for your shell: verbs and their options.

examples:
  benchleaf completion bash >> ~/.bashrc
  benchleaf completion zsh >> ~/.zshrc
  benchleaf completion fish > ~/.config/fish/completions/benchleaf.fish
"""

from __future__ import annotations

import argparse

from .results import Result

SHELLS = ("bash", "zsh", "fish")


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("shell", choices=SHELLS, help="your shell")


def run(options: argparse.Namespace) -> Result:
    """The shell's script, as lines to print."""
    from .main import VERBS

    words = {verb: _words(verb) for verb in VERBS}
    text = {"bash": _bash, "zsh": _zsh, "fish": _fish}[options.shell](words, VERBS)
    return Result(lines=tuple(text.splitlines()))


def _words(verb: str) -> list[str]:
    """A verb's options, and the words it may take in a place."""
    from .main import module_of

    parser = argparse.ArgumentParser(add_help=False)
    module_of(verb).arguments(parser)
    words: list[str] = []
    for action in parser._actions:
        words += action.option_strings
        words += [str(c) for c in action.choices or ()] if not action.option_strings else []
    return sorted({*words, "--help"})


def _bash(words: dict[str, list[str]], verbs: dict[str, str]) -> str:
    cases = "\n".join(f'    {verb}) words="{" ".join(some)}" ;;' for verb, some in words.items())
    return f"""_benchleaf() {{
  local words="{" ".join(verbs)} -C --help --version" verb="" word
  for word in "${{COMP_WORDS[@]:1:COMP_CWORD-1}}"; do
    case " {" ".join(verbs)} " in *" $word "*) verb=$word; break ;; esac
  done
  case "$verb" in
{cases}
  esac
  COMPREPLY=($(compgen -W "$words" -- "${{COMP_WORDS[COMP_CWORD]}}"))
  [ ${{#COMPREPLY[@]}} -gt 0 ] || COMPREPLY=($(compgen -f -- "${{COMP_WORDS[COMP_CWORD]}}"))
}}
complete -F _benchleaf benchleaf"""


def _zsh(words: dict[str, list[str]], verbs: dict[str, str]) -> str:
    return "autoload -U +X bashcompinit && bashcompinit\n" + _bash(words, verbs)


def _fish(words: dict[str, list[str]], verbs: dict[str, str]) -> str:
    said = {verb: text.replace("'", "\\'") for verb, text in verbs.items()}
    rows = [f"complete -c benchleaf -n __fish_use_subcommand -a {verb} -d '{text}'" for verb, text in said.items()]
    for verb, some in words.items():
        seen = f"'__fish_seen_subcommand_from {verb}'"
        rows += [f"complete -c benchleaf -n {seen} -l {word[2:]}" for word in some if word.startswith("--")]
        rows += [f"complete -c benchleaf -n {seen} -a {word}" for word in some if not word.startswith("-")]
    return "\n".join(rows)
