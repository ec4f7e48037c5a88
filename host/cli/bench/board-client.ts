// The line to an emulated board as a proof speaks over it: the tool's own link client, in the board's virtual time.
import type { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { boardLine } from "#host/bench/board-line.ts";
import type { BoardClient } from "#host/bench/prove/board-client.ts";
import { LinkClient } from "#host/link/client.ts";
import { hello, status } from "#host/link/device.ts";
import { Refused } from "#host/link/message.ts";
import { writeSettings } from "#host/link/transfer.ts";

async function refusal(
  client: LinkClient,
  ...request: Parameters<BoardClient["refusal"]>
): Promise<string | undefined> {
  const [name, values, tail] = request;
  try {
    await client.request(name, values ?? {}, tail ? { tail } : {});
    return undefined;
  } catch (thrown) {
    if (thrown instanceof Refused) return thrown.reason ?? "unknown";
    throw thrown;
  }
}

/** Opens the line of a powered board. */
export function boardClient(board: EmulatedBoard): BoardClient {
  const line = boardLine(board);
  const client = new LinkClient(line, { clock: line.clock, firstSequence: 0 });
  return {
    status: () => status(client),
    hello: () => hello(client),
    store: async (block) => void (await writeSettings(client, block)),
    refusal: (...request) => refusal(client, ...request),
    close: () => client.close(),
  };
}
