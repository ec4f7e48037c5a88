// `headgate read`: the settings that a controller holds, as a settings file on stdout or in a new file.

import type { AddCommand } from "../command.ts";
import type { PortOptions } from "../line/connect.ts";
import { withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options extends PortOptions {
  readonly out?: string | undefined;
}

async function read(session: Session, options: Options): Promise<Result> {
  const { withController } = await import("../line/connect.ts");
  const { readDocument } = await import("../line/device-settings.ts");
  const { formatSettings } = await import("#host/settings/write.ts");
  const { device, held } = await withController(session, options, async (connection) => ({
    device: connection.device,
    held: await readDocument(session, connection),
  }));
  const text = formatSettings(held.document);
  const data = { board: device.boardId, slot: device.slot, hash: held.hash, settings: held.document, text };
  if (options.out === undefined) return { data, lines: [text.trimEnd()] };
  const { writeNew } = await import("../files.ts");
  const { schemaUrl } = await import("../schema-url.ts");
  writeNew(session.io, options.out, formatSettings(held.document, { schema: schemaUrl() }));
  return {
    data: { ...data, file: options.out },
    lines: session.wrapped(`wrote ${options.out}, settings hash ${held.hash}`),
  };
}

export const addRead: AddCommand = (program, act) => {
  withPort(program.command("read"))
    .option("--out <file>", "write a new file instead of stdout")
    .description("read the settings that a controller holds")
    .action(act(read));
};
