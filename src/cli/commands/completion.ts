/**
 * `reseat completion bash|zsh|fish`: a script that completes commands and options, made from the commands themselves. Where
 * a file or a value is expected the shell completes files as ever. Nothing that was typed is evaluated.
 */
import type { Command } from 'commander';
import { InputError, nearestWord } from '../../internal.js';

interface CompletedOption {
  readonly flags: readonly string[];
  readonly description: string;
  readonly takesValue: boolean;
}

/** A command by its words behind `reseat`, none for the program itself. */
interface Completed {
  readonly words: readonly string[];
  readonly options: readonly CompletedOption[];
  readonly below: readonly { readonly word: string; readonly description: string }[];
}

const shells = { bash: () => bash, zsh: () => zsh, fish: () => fish } as const;

/** @throws InputError for another shell */
export const completion = (shell: string, program: Command): string => {
  if (Object.hasOwn(shells, shell)) return shells[shell as keyof typeof shells]()(completedOf(program, []));
  const known = Object.keys(shells);
  const meant = nearestWord(shell, known);
  throw new InputError({
    found: `the shell "${shell}"`,
    expected: known.join(', '),
    next: meant === undefined ? 'Write reseat completion bash, zsh or fish.' : `Did you mean ${meant}?`,
  });
};

const oneLine = (text: string): string => text.replace(/\s+/g, ' ');

const completedOf = (command: Command, words: readonly string[]): readonly Completed[] => {
  const help = command.createHelp();
  const commands = help.visibleCommands(command);
  const options = help.visibleOptions(command).map(({ short, long, description, required, optional }) => ({
    flags: [short, long].flatMap((flag) => flag ?? []),
    description: oneLine(description),
    takesValue: required || optional,
  }));
  const below = commands.map((c) => ({ word: c.name(), description: oneLine(c.description()) }));
  const own = { words, options, below };
  return [own, ...commands.flatMap((c) => completedOf(c, [...words, c.name()]))];
};

const single = (text: string): string => `'${text.replaceAll("'", `'\\''`)}'`;

/** A case of `case` for each command: a word leads to the one below, an option with a value to files. */
const bash = (all: readonly Completed[]): string => {
  const cases = all.map(({ words, options, below }) => {
    const offered = [...options.flatMap((o) => o.flags), ...below.map((b) => b.word)];
    const withValue = options.filter((o) => o.takesValue).flatMap((o) => o.flags);
    return `    ${single(words.join(' '))}) offered=${single(offered.join(' '))}; valued=${single(` ${withValue.join(' ')} `)}; below=${single(` ${below.map((b) => b.word).join(' ')} `)} ;;`;
  });
  return `# bash completion of reseat: source it, or save it where bash looks for completions.
_reseat_of() {
  case "$1" in
${cases.join('\n')}
  esac
}
_reseat() {
  local offered='' valued='' below='' path='' word previous i
  COMPREPLY=()
  _reseat_of ''
  for ((i = 1; i < COMP_CWORD; i++)); do
    word="\${COMP_WORDS[i]}"
    if [[ "$word" =~ ^[a-z]+$ && "$below" == *" $word "* ]]; then
      path="\${path:+$path }$word"
      _reseat_of "$path"
    fi
  done
  word="\${COMP_WORDS[COMP_CWORD]}"
  previous="\${COMP_WORDS[COMP_CWORD - 1]}"
  [[ "$previous" == -* && "$valued" == *" $previous "* ]] && return
  if [[ "$word" == -* || "$below" != '  ' ]]; then
    mapfile -t COMPREPLY < <(compgen -W "$offered" -- "$word")
  fi
}
complete -o default -F _reseat reseat
`;
};

/** Brackets and colons mean something in what _arguments and _describe take. */
const zshText = (text: string): string => text.replace(/[[\]:\\]/g, (c) => `\\${c}`);

const zsh = (all: readonly Completed[]): string => {
  const nameOf = (words: readonly string[]): string => ['_reseat', ...words].join('_');
  const functions = all.map(({ words, options, below }) => {
    const specs = options.flatMap(({ flags, description, takesValue }) =>
      flags.map(
        (flag) => `    ${single(`${flag}[${zshText(description)}]${takesValue ? ':value:_files' : ''}`)}`,
      ),
    );
    const rest = below.length === 0 ? [`    '*:file:_files'`] : [`    '1: :->command'`, `    '*:: :->rest'`];
    const commands = below.map((b) => `      ${single(`${b.word}:${zshText(b.description)}`)}`);
    const states =
      below.length === 0
        ? ''
        : `
  case $state in
    command)
      local -a commands=(
${commands.join('\n')}
      )
      _describe command commands ;;
    rest)
      case $words[1] in
${below.map((b) => `        ${b.word}) ${nameOf([...words, b.word])} ;;`).join('\n')}
      esac ;;
  esac`;
    return `${nameOf(words)}() {
  local curcontext="$curcontext" state line
  typeset -A opt_args
  _arguments -C \\
${[...specs, ...rest].join(' \\\n')}${states}
}`;
  });
  return `#compdef reseat
# zsh completion of reseat: save it as _reseat in a folder of fpath, or source it after compinit.
${functions.join('\n')}
compdef _reseat reseat
`;
};

const fish = (all: readonly Completed[]): string => {
  const lines = all.flatMap(({ words, options, below }) => {
    const [first] = words;
    const seen = words.map((word) => `__fish_seen_subcommand_from ${word}`);
    const none = `not __fish_seen_subcommand_from ${below.map((b) => b.word).join(' ')}`;
    const when = [...seen, ...(below.length > 0 ? [none] : [])].join('; and ');
    const condition = when === '' ? '' : ` -n ${single(when)}`;
    const ofOptions = options.map(({ flags, description, takesValue }) => {
      const names = flags
        .map((f) => (f.startsWith('--') ? `-l ${f.slice(2)}` : `-s ${f.slice(1)}`))
        .join(' ');
      const on = first === undefined ? ' -n __fish_use_subcommand' : condition;
      return `complete -c reseat${on} ${names}${takesValue ? ' -r' : ''} -d ${single(description)}`;
    });
    const ofCommands = below.map(
      ({ word, description }) => `complete -c reseat -f${condition} -a ${word} -d ${single(description)}`,
    );
    return [...ofOptions, ...ofCommands];
  });
  return `# fish completion of reseat: save it as ~/.config/fish/completions/reseat.fish
${lines.join('\n')}
`;
};
