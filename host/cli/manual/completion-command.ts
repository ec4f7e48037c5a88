// `headgate completion SHELL`: the script by which a shell completes commands, options and their words.
import { Argument, type Command } from "@commander-js/extra-typings";
import type { AddCommand } from "../command.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { Shell } from "./completion.ts";

const SHELLS = ["bash", "zsh", "fish", "powershell"] as const satisfies readonly Shell[];

export const addCompletion: AddCommand = (program, act) => {
  async function completion(_session: Session, shell: Shell): Promise<Result> {
    const { completionScript } = await import("./completion.ts");
    const { treeOf } = await import("./tree.ts");
    const script = completionScript(shell, treeOf(program as Command));
    return { data: { shell, script }, lines: [script] };
  }
  withCommon(program.command("completion"))
    .addArgument(new Argument("<shell>", "the shell").choices(SHELLS))
    .description("print the script by which a shell completes this tool's commands")
    .action(act(completion));
};
