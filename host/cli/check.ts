// `headgate check FILE`: everything that is wrong or unwise in a settings file, without any controller.
import { ERRORS } from "#host/errors/codes.ts";
import { withCommon } from "./options.ts";
import type { AddCommand } from "./program.ts";
import type { Result, Session } from "./session.ts";

async function check(session: Session, file: string): Promise<Result> {
  const { checkFile, findingData, linesOf } = await import("./settings-file.ts");
  const checked = checkFile(session, file);
  const data = findingData(checked);
  const lines = linesOf(session, checked);
  if (checked.document) return { data, lines: [...lines, `settings hash ${String(data.hash)}`] };
  const { what, todo, exit } = ERRORS["bad-settings"];
  return { exit, data: { error: { code: "bad-settings", what, todo, exit }, ...data }, lines };
}

export const addCheck: AddCommand = (program, act) => {
  withCommon(program.command("check"))
    .argument("<file>", "settings file")
    .description("check a settings file: units, limits, rules; all errors at once")
    .action(act(check));
};
