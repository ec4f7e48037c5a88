// Mistakes of usage in this tool's own words: what the library of the command line found, said as every other message is.
import { nearestName } from "#host/units/nearest.ts";

/** What the library throws when it has printed help or a version, or did not understand. */
export interface CommanderEnd {
  readonly code: string;
  readonly exitCode: number;
  readonly message: string;
}

/** What happened, and where it is known what was expected. */
export interface UsageWords {
  readonly what: string;
  readonly expected?: string;
}

/** A kind of its messages: the parts that are particular to the case, and how they are said here. */
interface Kind {
  readonly pattern: RegExp;
  say(...parts: string[]): UsageWords;
}

const WORDS = /^Allowed choices are (.*)\.$/;

/** A name alone: `--port` of `--port <name>`. */
const bare = (flags: string): string => /--[\w-]+/.exec(flags)?.[0] ?? flags;

const hint = (nearest: string | undefined): string =>
  nearest === undefined ? "" : `; did you mean ${nearest}?`;

/** A refused value: one of a few words was expected, or what the option's own reader says. */
function refused(name: string, value: string, why: string): UsageWords {
  const words = WORDS.exec(why)?.[1];
  if (words !== undefined)
    return {
      what: `"${value}" cannot be used for ${name}${hint(nearestName(value, words.split(", ")))}`,
      expected: `one of ${words}`,
    };
  const told = why.replace(/\.$/, "");
  const enter = /^enter (.*)$/s.exec(told)?.[1];
  return enter === undefined
    ? { what: `${name}: ${told}` }
    : { what: `"${value}" cannot be used for ${name}`, expected: enter };
}

const KINDS: readonly Kind[] = [
  {
    pattern: /^option '(.*?)' argument '(.*?)' is invalid\. (.*)$/s,
    say: (flags, value, why) => refused(bare(flags!), value!, why!),
  },
  {
    pattern: /^command-argument value '(.*?)' is invalid for argument '(.*?)'\. (.*)$/s,
    say: (value, name, why) => refused(`<${name}>`, value!, why!),
  },
  {
    pattern: /^unknown command '(.*?)'(?:\n\(Did you mean (.*?)\?\))?$/s,
    say: (name, nearest) => ({ what: `there is no command "${name}"${hint(nearest)}` }),
  },
  {
    pattern: /^unknown option '(.*?)'(?:\n\(Did you mean (.*?)\?\))?$/s,
    say: (name, nearest) => ({ what: `there is no option ${name} here${hint(nearest)}` }),
  },
  {
    pattern: /^missing required argument '(.*)'$/s,
    say: (name) => ({ what: `<${name}> is missing: the command needs it` }),
  },
  {
    pattern: /^option '(.*)' argument missing$/s,
    say: (flags) => ({ what: `${bare(flags!)} needs a value after it`, expected: flags! }),
  },
  {
    pattern: /^required option '(.*)' not specified$/s,
    say: (flags) => ({ what: `${bare(flags!)} is missing: the command needs it`, expected: flags! }),
  },
  {
    pattern: /^too many arguments(?: for '.*?')?\. Expected (\d+) arguments? but got (\d+)/s,
    say: (most, given) => ({
      what: `${given} ${given === "1" ? "word is" : "words are"} given, and the command takes ${most === "0" ? "none" : `at most ${most}`}`,
    }),
  },
  {
    pattern: /^option '(.*)' cannot be used with option '(.*)'$/s,
    say: (one, other) => ({ what: `${bare(one!)} and ${bare(other!)} cannot be given together` }),
  },
];

/** The mistake in the tool's own words. */
export function usageWords({ code, message }: CommanderEnd): UsageWords {
  if (code === "commander.help") return { what: "no command was given" };
  const text = message.replace(/^error: /, "").trim();
  for (const { pattern, say } of KINDS) {
    const found = pattern.exec(text);
    if (found) return say(...found.slice(1));
  }
  return { what: text.replace(/\n/g, " ") };
}
