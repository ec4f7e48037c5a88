// `headgate new [FILE]`: a commented settings file to start from, or another file with groups put in or taken out; on stdout without a name.

import { Option } from "@commander-js/extra-typings";
import type { Interlock } from "#shared-schema/model/interlocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { AddCommand } from "../command.ts";
import { wholeNumber, withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options {
  readonly stages: number;
  readonly name?: string | undefined;
  readonly from?: string | undefined;
  readonly preset?: keyof typeof PRESETS | undefined;
  readonly with?: string[] | undefined;
  readonly without?: string[] | undefined;
}

/** Files of the package that a new one can begin as. */
const PRESETS = { demo: "street-coupe.yaml", bench: "proving-bench.yaml" } as const;

/** Document paths of the groups named. Fails with `usage` on a name that is none. */
async function groupsOf(option: string, texts: readonly string[] = []): Promise<string[]> {
  const { OPTIONAL_GROUPS } = await import("#host/settings/groups.ts");
  const { fieldOf } = await import("#host/settings/field.ts");
  const known = new Map(OPTIONAL_GROUPS.map((path) => [fieldOf(path), path]));
  const named = texts.flatMap((text) => text.split(","));
  const unknown = named.find((name) => !known.has(name));
  if (unknown === undefined) return named.map((name) => known.get(name)!);
  const { Failure } = await import("#host/errors/failure.ts");
  throw new Failure("usage", {
    what: `--${option}: there is no group ${unknown} that could be put in or left out`,
    expected: `one of ${[...known.keys()].join(", ")}`,
    todo: "read `headgate new --help`, then correct the command",
  });
}

/** What the file begins as. Fails as reading a settings file does. */
async function base(session: Session, { from, preset, stages }: Options): Promise<Document> {
  const { goodFile } = await import("./settings-file.ts");
  if (from !== undefined) return goodFile(session, from).document;
  if (preset !== undefined) {
    const { packageFile } = await import("../package-file.ts");
    return goodFile(session, packageFile("host", "demo", PRESETS[preset])).document;
  }
  const { exampleDocument, PROTECTIONS } = await import("#host/settings/example.ts");
  return exampleDocument(stages, PROTECTIONS);
}

/** Document and text, which is a settings file without errors. Fails with `bad-settings` where the groups do not fit together. */
async function made(
  session: Session,
  file: string | undefined,
  options: Options,
): Promise<{ text: string; document: Document }> {
  const { withGroup, withoutGroup } = await import("#host/settings/groups.ts");
  const { formatSettings } = await import("#host/settings/write.ts");
  const { checkSettings } = await import("#host/settings/check.ts");
  const { schemaUrl } = await import("../schema-url.ts");
  const added = await groupsOf("with", options.with);
  const left = await groupsOf("without", options.without);
  const start = await base(session, options);
  const document = left.reduce(withoutGroup, added.reduce(withGroup, start));
  const { name, preset } = options;
  const text = formatSettings(document, {
    ...(file === undefined ? {} : { schema: schemaUrl() }),
    ...(name === undefined && preset === undefined ? {} : { name: name ?? `preset ${preset}` }),
  });
  const { issues } = checkSettings(text);
  if (issues.length === 0) return { text, document };
  const { Failure } = await import("#host/errors/failure.ts");
  throw new Failure("bad-settings", {
    what: `with these groups the settings would have errors, and nothing was written:\n${issues.map((issue) => `  ${issue.text}`).join("\n")}`,
    todo: "put in what is missing with --with, or leave more out with --without",
    data: { issues },
  });
}

/** What the settings do not watch, and which groups would: a sensor alone does not always bring its limit. */
async function leftOut(rows: readonly Interlock[]): Promise<string[]> {
  const { fieldOf } = await import("#host/settings/field.ts");
  const named = rows.map(({ id, enabledBy }) => `${id} (${enabledBy.map(fieldOf).join(" or ")})`);
  return named.length === 0 ? [] : [`These settings do not watch: ${named.join(", ")}.`];
}

async function create(session: Session, file: string | undefined, options: Options): Promise<Result> {
  const { text, document } = await made(session, file, options);
  const { notEnabled } = await import("#shared-schema/settings/enabled.ts");
  const rows = notEnabled(document);
  const notWatched = rows.map(({ id }) => id);
  if (file === undefined) return { data: { text, notWatched }, lines: [text.trimEnd()] };
  const { writeNew } = await import("../files.ts");
  writeNew(session.io, file, text);
  return {
    data: { file, text, notWatched },
    lines: session.wrapped(
      `wrote ${file}`,
      ...(await leftOut(rows)),
      "Its numbers are examples, not advice. Go through every line before you load it, then:",
      `headgate check ${file}`,
    ),
  };
}

const NOTES = `
Groups are named as in a file: engine.jump, throttle.position, bottle, fuel,
lambda, coolant, road, gearbox, launch, retard, purge, heater, and so on.
  headgate new my.yaml --with lambda coolant
  headgate new next.yaml --from my.yaml --with retard --without lambda`;

export const addNew: AddCommand = (program, act) => {
  withCommon(program.command("new"))
    .argument("[file]", "file to write; must not exist yet")
    .option("--stages <number>", "how many stages", wholeNumber(1, 4), 2)
    .option("--from <file>", "begin with the settings of this file in place of examples")
    .addOption(
      new Option("--preset <name>", "begin with settings of the package: a demo car's, or those of the bench")
        .choices(Object.keys(PRESETS) as (keyof typeof PRESETS)[])
        .conflicts("from"),
    )
    .option("--with <group...>", "put a whole group in; may be given again")
    .option("--without <group...>", "leave a whole group out; may be given again")
    .option("--name <text>", "a name for these settings")
    .description("write a commented settings file to start from")
    .addHelpText("after", NOTES)
    .action(act(create));
};
