// `headgate status`: who the controller is and what it sees at this moment, every value with its unit.

import type { AddCommand } from "../command.ts";
import { withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { PortOptions } from "./connect.ts";

async function status(session: Session, options: PortOptions): Promise<Result> {
  const { withController } = await import("./connect.ts");
  const { requireFit, status: ask } = await import("#host/link/device.ts");
  const { liveRows, identityRows } = await import("#host/report/terminal/status.ts");
  const { keptSettingsAdvice } = await import("./kept-settings-advice.ts");
  const { tableLines } = await import("#host/report/terminal/table.ts");
  const { device, live } = await withController(session, options, async ({ client, device }) => {
    requireFit(device);
    return { device, live: await ask(client) };
  });
  const table = (rows: string[][]): string[] => tableLines(["what", "value"], rows, session.width);
  return {
    data: { device, live },
    lines: [
      ...table(identityRows(device)),
      ...keptSettingsAdvice(session, device),
      "",
      ...table(liveRows(live)),
    ],
  };
}

export const addStatus: AddCommand = (program, act) => {
  withPort(program.command("status"))
    .description("show who the controller is and what it sees now")
    .action(act(status));
};
