// `headgate check FILE`: everything that is wrong or unwise in a settings file, without any controller; --watch goes on at every save.
import { Option } from "@commander-js/extra-typings";
import { ERRORS } from "#host/errors/codes.ts";
import { EXIT } from "#host/errors/exit.ts";
import type { AddCommand } from "../command.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options {
  readonly watch?: true | undefined;
  readonly fix?: true | undefined;
  readonly dryRun?: true | undefined;
}

async function checkOnce(session: Session, file: string): Promise<Result> {
  const { checkFile, findingData, fixHint, linesOf } = await import("./settings-file.ts");
  const checked = checkFile(session, file);
  const data = findingData(checked);
  const lines = linesOf(session, checked);
  if (checked.document) return { data, lines: [...lines, `settings hash ${String(data.hash)}`] };
  const { what, exit } = ERRORS["bad-settings"];
  const hint = fixHint(checked);
  const todo = hint ?? ERRORS["bad-settings"].todo;
  const more = hint === undefined ? [] : session.wrapped(`do: ${hint}`);
  return {
    exit,
    data: { error: { code: "bad-settings", what, todo, exit }, ...data },
    lines: [...lines, ...more],
  };
}

/** Checks at every change until interrupted; that is how it is meant to end. */
async function watch(session: Session, file: string): Promise<void> {
  const { eachVersion } = await import("./watch-file.ts");
  session.streams = true;
  session.talk(`watching ${file}; stop with Ctrl-C`);
  for await (const _ of eachVersion(session.io, file)) {
    const result = await checkOnce(session, file);
    session.step(result, result.exit === undefined);
    session.exit = result.exit ?? EXIT.yes;
  }
}

/** Mends what is only written wrongly, and checks what stands there then. */
async function fix(session: Session, file: string, dryRun: boolean): Promise<Result> {
  const { fixFile } = await import("./fix-file.ts");
  const { fixes, former, lines } = fixFile(session, file, dryRun);
  const result = await checkOnce(session, file);
  return {
    ...result,
    data: { ...result.data, fixes, former },
    lines: [...session.wrapped(...lines), "", ...result.lines],
  };
}

async function check(session: Session, file: string, options: Options): Promise<Result | undefined> {
  const { requireKind } = await import("../file-kind.ts");
  if (!options.watch) requireKind(session.io, file, "settings");
  if (options.fix) return fix(session, file, options.dryRun === true);
  if (!options.watch) return checkOnce(session, file);
  await watch(session, file);
  return undefined;
}

export const addCheck: AddCommand = (program, act) => {
  withCommon(program.command("check"))
    .argument("<file>", "settings file")
    .addOption(new Option("--watch", "check again whenever the file is saved").conflicts("fix"))
    .option("--fix", "mend spelling of keys, words and units, decimal commas and order; never a value")
    .option("--dry-run", "with --fix: say what would be mended, and write nothing")
    .description("check a settings file: units, limits, rules; all errors at once")
    .action(act(check));
};
