// The commands of the program as data, from the program itself: what completion scripts and the manual page are made of.
import type { Command } from "@commander-js/extra-typings";

/** One option. `takes`: its value in words, empty for a switch; `words`: the only values. */
export interface OptionNode {
  readonly long: string;
  readonly flags: string;
  readonly meaning: string;
  readonly takes: string;
  readonly words: readonly string[];
}

/** One command. `usage` is what follows its name, `words` what may stand there beside files. */
export interface CommandNode {
  readonly name: string;
  readonly meaning: string;
  readonly usage: string;
  readonly words: readonly string[];
  readonly options: readonly OptionNode[];
  readonly commands: readonly CommandNode[];
}

/** Words of an argument that is described by them: `on|off`. */
function wordsIn(text: string): string[] {
  const parts = text.replace(/^<name> /, "").split("|");
  return parts.length > 1 ? parts.filter((part) => /^[a-z0-9]+V?$/.test(part)) : [];
}

/** A command with all below it. */
export function treeOf(command: Command): CommandNode {
  const help = command.createHelp();
  const options = help.visibleOptions(command).map((option) => ({
    long: option.long ?? option.flags,
    flags: option.flags,
    meaning: option.description,
    takes: /[<[](.*?)[>\]]/.exec(option.flags)?.[1] ?? "",
    words: option.argChoices ?? [],
  }));
  return {
    name: command.name(),
    meaning: command.description(),
    usage: command.usage(),
    words: command.registeredArguments.flatMap(({ argChoices = [], description }) => [
      ...argChoices,
      ...wordsIn(description),
    ]),
    options,
    commands: command.commands.map((one) => treeOf(one as unknown as Command)),
  };
}
