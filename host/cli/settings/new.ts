// `headgate new [FILE]`: a commented settings file to start from; on stdout when no name is given.

import type { AddCommand } from "../command.ts";
import { wholeNumber, withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options {
  readonly stages: number;
  readonly name?: string | undefined;
  readonly without?: string[] | undefined;
}

/** Protections to write: all but those left out. Fails with `usage` on a name that is none of them. */
async function protectionsBut(without: readonly string[] = []): Promise<string[]> {
  const { PROTECTIONS } = await import("#host/settings/example.ts");
  const { fieldOf } = await import("#host/settings/field.ts");
  const left = without.flatMap((text) => text.split(","));
  const known = PROTECTIONS.map(fieldOf);
  const unknown = left.find((name) => !known.includes(name));
  if (unknown !== undefined) {
    const { Failure } = await import("#host/errors/failure.ts");
    throw new Failure("usage", {
      what: `\`headgate new\` writes no group ${unknown} that could be left out`,
      expected: `one of ${known.join(", ")}`,
    });
  }
  return PROTECTIONS.filter((path) => !left.includes(fieldOf(path)));
}

/** Where an editor on this computer finds names, limits and meanings of all settings. */
async function schemaUrl(): Promise<string> {
  const { pathToFileURL } = await import("node:url");
  const { packageFile } = await import("../package-file.ts");
  return pathToFileURL(packageFile("shared-schema", "generated", "settings.schema.json")).href;
}

async function create(session: Session, file: string | undefined, options: Options): Promise<Result> {
  const { exampleDocument } = await import("#host/settings/example.ts");
  const { formatSettings } = await import("#host/settings/write.ts");
  const { name, stages } = options;
  const groups = await protectionsBut(options.without);
  const schema = file === undefined ? {} : { schema: await schemaUrl() };
  const text = formatSettings(exampleDocument(stages, groups), {
    ...schema,
    ...(name === undefined ? {} : { name }),
  });
  if (file === undefined) return { data: { text }, lines: [text.trimEnd()] };
  const { writeNew } = await import("../files.ts");
  writeNew(session.io, file, text);
  return {
    data: { file, text },
    lines: session.wrapped(
      `wrote ${file}`,
      "Its numbers are examples, not advice. Go through every line before you load it, then:",
      `headgate check ${file}`,
    ),
  };
}

export const addNew: AddCommand = (program, act) => {
  withCommon(program.command("new"))
    .argument("[file]", "file to write; must not exist yet")
    .option("--stages <number>", "how many stages", wholeNumber(1, 4), 2)
    .option(
      "--without <group...>",
      "leave out a protection: engine.jump, throttle.position, bottle or fuel; may be given again",
    )
    .option("--name <text>", "a name for these settings")
    .description("write a commented settings file to start from")
    .action(act(create));
};
