// `headgate new [FILE]`: a commented settings file to start from; on stdout when no name is given.

import type { AddCommand } from "../command.ts";
import { wholeNumber, withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options {
  readonly stages: number;
  readonly name?: string | undefined;
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
  const schema = file === undefined ? {} : { schema: await schemaUrl() };
  const text = formatSettings(exampleDocument(stages), {
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
    .option("--name <text>", "a name for these settings")
    .description("write a commented settings file to start from")
    .action(act(create));
};
