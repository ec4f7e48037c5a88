// Completion scripts for four shells, made from the tree of commands: names, options, the words that they take, and files.
import type { CommandNode, OptionNode } from "./tree.ts";

/** Everything that may follow a path of commands: its own words, options and what stands below it. */
interface Place {
  /** `headgate`, `headgate board`, `headgate board wire`. */
  readonly path: string;
  readonly words: readonly string[];
  readonly options: readonly OptionNode[];
  readonly commands: readonly CommandNode[];
}

function placesIn(node: CommandNode, above = ""): Place[] {
  const path = above === "" ? node.name : `${above} ${node.name}`;
  const { words, options, commands } = node;
  return [{ path, words, options, commands }, ...commands.flatMap((one) => placesIn(one, path))];
}

const wordsAt = ({ words, options, commands }: Place): string[] => [
  ...commands.map(({ name }) => name),
  ...words,
  ...options.map(({ long }) => long),
];

/** Text within single quotes of a POSIX shell. */
const quoted = (text: string): string => `'${text.replaceAll("'", "'\\''")}'`;
const quotedForPowerShell = (text: string): string => `'${text.replaceAll("'", "''")}'`;

/** Options of a place whose value is one of a few words. */
const choices = ({ options }: Place): OptionNode[] => options.filter(({ words }) => words.length > 0);

const PATH_OF_WORDS = [
  '  local path="headgate" word i',
  "  for ((i = 1; i < COMP_CWORD; i++)); do",
  // biome-ignore lint/suspicious/noTemplateCurlyInString: these are the shell's
  '    word="${COMP_WORDS[i]}"',
  // biome-ignore lint/suspicious/noTemplateCurlyInString: these are the shell's
  '    case " $__headgate_paths " in *" ${path// /_}_$word "*) path="$path $word" ;; esac',
  "  done",
];

function bash(root: CommandNode): string {
  const places = placesIn(root);
  const valued = [...new Map(places.flatMap(choices).map((one) => [one.long, one])).values()];
  return [
    `__headgate_paths=${quoted(places.map(({ path }) => path.replaceAll(" ", "_")).join(" "))}`,
    "_headgate() {",
    ...PATH_OF_WORDS,
    // biome-ignore lint/suspicious/noTemplateCurlyInString: these are the shell's
    '  local now="${COMP_WORDS[COMP_CWORD]}" before="${COMP_WORDS[COMP_CWORD-1]}" words=""',
    '  case "$before" in',
    ...valued.map(({ long, words }) => `    ${long}) words=${quoted(words.join(" "))} ;;`),
    '    *) case "$path" in',
    ...places.map((place) => `      ${quoted(place.path)}) words=${quoted(wordsAt(place).join(" "))} ;;`),
    "    esac ;;",
    "  esac",
    '  COMPREPLY=($(compgen -W "$words" -- "$now"))',
    // biome-ignore lint/suspicious/noTemplateCurlyInString: these are the shell's
    '  if [ "${#COMPREPLY[@]}" -eq 0 ]; then COMPREPLY=($(compgen -f -- "$now")); fi',
    "}",
    "complete -o filenames -F _headgate headgate",
  ].join("\n");
}

/** Places that take words of their own alone, and no files. */
const takesNoFile = ({ words, commands }: Place): boolean => words.length + commands.length > 0;

/** Works as a file of `$fpath`, where the first Tab runs the file itself, and sourced. Zsh ties the name `path` to `PATH`. */
function zsh(root: CommandNode): string {
  const places = placesIn(root);
  const valued = [...new Map(places.flatMap(choices).map((one) => [one.long, one])).values()];
  const list = (words: readonly string[]): string => `reply=(${words.map(quoted).join(" ")})`;
  return [
    "#compdef headgate",
    "__headgate_words() {",
    '  case "$1" in',
    ...places.map((place) => `    (${quoted(place.path)}) ${list(wordsAt(place))} ;;`),
    "    (*) return 1 ;;",
    "  esac",
    "}",
    "_headgate() {",
    "  local place=headgate word files=yes",
    "  local -a reply",
    "  integer i",
    "  for ((i = 2; i < CURRENT; i++)); do",
    '    word="$place $words[i]"',
    '    __headgate_words "$word" && place="$word"',
    "  done",
    '  case "$place" in',
    ...places.filter(takesNoFile).map(({ path }) => `    (${quoted(path)}) files= ;;`),
    "  esac",
    '  case "$words[CURRENT-1]" in',
    ...valued.map(({ long, words }) => `    (${long}) ${list(words)}; files= ;;`),
    '    (*) __headgate_words "$place" ;;',
    "  esac",
    "  compadd -a reply",
    '  if [[ -n "$files" ]]; then _files; fi',
    "}",
    'if [[ "$funcstack[1]" == _headgate ]]; then _headgate "$@"; else compdef _headgate headgate; fi',
  ].join("\n");
}

function fish(root: CommandNode): string {
  const lines = placesIn(root).flatMap((place) => {
    const [, ...names] = place.path.split(" ");
    const below = place.commands.map(({ name }) => name).join(" ");
    const seen = names.map((name) => `__fish_seen_subcommand_from ${name}`).join("; and ");
    const here = names.length === 0 ? "__fish_use_subcommand" : seen;
    const only =
      below === "" || names.length === 0 ? here : `${here}; and not __fish_seen_subcommand_from ${below}`;
    const given = `complete -c headgate -n ${quoted(only)}`;
    return [
      ...(takesNoFile(place) ? [`${given} -f`] : []),
      ...place.commands.map(({ name, meaning }) => `${given} -a ${name} -d ${quoted(meaning)}`),
      ...place.words.map((word) => `${given} -a ${quoted(word)}`),
      ...place.options.map(({ long, meaning, takes, words }) => {
        const value = words.length > 0 ? ` -x -a ${quoted(words.join(" "))}` : takes === "" ? "" : " -r";
        return `${given} -l ${long.replace(/^--/, "")}${value} -d ${quoted(meaning)}`;
      }),
    ];
  });
  return ["complete -c headgate -e", ...lines].join("\n");
}

function powershell(root: CommandNode): string {
  const places = placesIn(root);
  const row = (place: Place): string =>
    `    ${quotedForPowerShell(place.path)} = @(${wordsAt(place).map(quotedForPowerShell).join(", ")})`;
  return [
    "Register-ArgumentCompleter -Native -CommandName headgate -ScriptBlock {",
    "  param($word, $ast, $at)",
    "  $places = @{",
    ...places.map(row),
    "  }",
    "  $path = 'headgate'",
    "  foreach ($part in ($ast.CommandElements | Select-Object -Skip 1)) {",
    '    if ($places.ContainsKey("$path $part")) { $path = "$path $part" }',
    "  }",
    '  $places[$path] | Where-Object { $_ -like "$word*" } | ForEach-Object {',
    "    [System.Management.Automation.CompletionResult]::new($_, $_, 'ParameterValue', $_)",
    "  }",
    "}",
  ].join("\n");
}

/** Shells, each with how a script is made for it and how it comes into force. */
export const SHELLS = {
  bash: { make: bash, use: "headgate completion bash > ~/.local/share/bash-completion/completions/headgate" },
  zsh: { make: zsh, use: "headgate completion zsh > a folder of $fpath, as _headgate" },
  fish: { make: fish, use: "headgate completion fish > ~/.config/fish/completions/headgate.fish" },
  powershell: { make: powershell, use: "headgate completion powershell >> $PROFILE" },
} as const;
export type Shell = keyof typeof SHELLS;

/** The script for a shell, with a head line that says what it is. */
export const completionScript = (shell: Shell, root: CommandNode): string => {
  const head = `# Completion of headgate for ${shell}, made by the tool itself: ${SHELLS[shell].use}`;
  const [first = "", ...rest] = SHELLS[shell].make(root).split("\n");
  return first.startsWith("#compdef") ? [first, head, ...rest].join("\n") : [head, first, ...rest].join("\n");
};
