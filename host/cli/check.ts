// `headgate check FILE`: everything that is wrong or unwise in a settings file, without any controller.
import { EXIT } from "#host/errors/exit.ts";
import { withCommon } from "./options.ts";
import type { AddCommand } from "./program.ts";
import type { Result, Session } from "./session.ts";

async function check(session: Session, file: string): Promise<Result> {
  const { checkFile, findingData, linesOf } = await import("./settings-file.ts");
  const checked = checkFile(session, file);
  const data = findingData(checked);
  const hash = checked.document ? [`settings hash ${String(data.hash)}`] : [];
  return {
    exit: checked.document ? EXIT.yes : EXIT.badSettings,
    data,
    lines: [...linesOf(session, checked), ...hash],
  };
}

export const addCheck: AddCommand = (program, act) => {
  withCommon(program.command("check"))
    .argument("<file>", "settings file")
    .description("check a settings file: units, limits, rules; all errors at once")
    .action(act(check));
};
