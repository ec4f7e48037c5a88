// `headgate status`: what the controller does at this moment and why, who it is, and what it sees of all that is fitted.

import { heightOf } from "#host/report/terminal/terminal.ts";
import type { AddCommand } from "../command.ts";
import { withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { PortOptions } from "./connect.ts";

interface Options extends PortOptions {
  readonly short?: true | undefined;
}

/** Lines that the shell needs for the command and for its next prompt. */
const SHELL_LINES = 2;

async function status(session: Session, options: Options): Promise<Result> {
  const { withController } = await import("./connect.ts");
  const { requireFit, status: ask } = await import("#host/link/device.ts");
  const { adviceLines, momentLine, momentOf, momentScreen } = await import("#host/report/terminal/watch.ts");
  const { identityCells, settingsInWords } = await import("#host/report/terminal/status.ts");
  const { hex8 } = await import("#host/settings/hash.ts");
  const { namesByHash } = await import("../load/names.ts");
  const { keptSettingsAdvice } = await import("./kept-settings-advice.ts");
  const { settingsInForce } = await import("./device-settings.ts");
  const { device, live, settings } = await withController(session, options, async (connection) => {
    requireFit(connection.device);
    const live = await ask(connection.client);
    return { device: connection.device, live, settings: await settingsInForce(connection) };
  });
  const moment = momentOf(live);
  const name = namesByHash(session).get(hex8(device.settingsCrc));
  const inForce = settingsInWords(device, name);
  const data = { device, live, name: name ?? null };
  const { width } = session;
  if (options.short) return { data, lines: [momentLine(moment, lineWidth(session), inForce.slice(1))] };
  const height = heightOf(session.io.stdout) - SHELL_LINES - session.talked;
  const lines = momentScreen(moment, {
    settings,
    room: { width, height },
    paint: session.paint,
    advice: adviceLines(keptSettingsAdvice(session, device), width),
    inForce,
    more: identityCells(device),
  });
  return { data, lines };
}

/** A line in a pipe has no end. */
const lineWidth = ({ io, width }: Session): number =>
  io.stdout.columns === undefined ? Number.POSITIVE_INFINITY : width;

export const addStatus: AddCommand = (program, act) => {
  withPort(program.command("status"))
    .option("--short", "one line: verdict, reasons, engine, battery, settings in force")
    .description("show what the controller does and why, who it is, and what it sees")
    .action(act(status));
};
