// The page and the verbs of a practice board, over HTTP to this computer alone: loopback, a random token in the path, Host and Origin checked.
import { randomBytes, timingSafeEqual } from "node:crypto";
import { createServer, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import { Failure } from "#host/errors/failure.ts";
import type { Look } from "./look.ts";

/** What is behind it. */
export interface Controlled {
  look(): Look;
  /** Does what the words of a verb say. Fails with `usage`. */
  act(words: readonly string[]): Promise<string>;
  /** `nonce` is that of the scripts and styles that may run. */
  page(nonce: string): string;
}

/** A server that runs. */
export interface ControlServer {
  /** Ends with a slash. */
  readonly url: string;
  close(): Promise<void>;
}

const LOOPBACK = "127.0.0.1";
const TOKEN_BYTES = 24;
const MOST_BYTES = 4096;
const LOOK_EVERY_MS = 50;

const HEADERS = {
  "Cache-Control": "no-store",
  "Referrer-Policy": "no-referrer",
  "X-Content-Type-Options": "nosniff",
  "Cross-Origin-Resource-Policy": "same-origin",
  "X-Frame-Options": "DENY",
};

const policy = (nonce: string): string =>
  `default-src 'none'; script-src 'nonce-${nonce}'; style-src 'nonce-${nonce}'; connect-src 'self'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'`;

function send(response: ServerResponse, status: number, type: string, body: string, more = {}): void {
  response.writeHead(status, { ...HEADERS, "Content-Type": `${type}; charset=utf-8`, ...more });
  response.end(body);
}

const sendJson = (response: ServerResponse, status: number, body: unknown): void =>
  send(response, status, "application/json", JSON.stringify(body));

function same(a: string, b: string): boolean {
  const [one, other] = [Buffer.from(a), Buffer.from(b)];
  return one.length === other.length && timingSafeEqual(one, other);
}

async function wordsOf(request: IncomingMessage): Promise<readonly string[] | undefined> {
  if (!request.headers["content-type"]?.startsWith("application/json")) return undefined;
  let text = "";
  for await (const chunk of request) {
    text += String(chunk);
    if (text.length > MOST_BYTES) return undefined;
  }
  try {
    const { words } = JSON.parse(text) as { words?: unknown };
    return Array.isArray(words) && words.every((word) => typeof word === "string") ? words : undefined;
  } catch {
    return undefined;
  }
}

class Control {
  readonly token = randomBytes(TOKEN_BYTES).toString("base64url");
  readonly server: Server;
  private readonly controlled: Controlled;
  private readonly streams = new Set<ServerResponse>();
  private timer: NodeJS.Timeout | undefined;

  constructor(controlled: Controlled) {
    this.controlled = controlled;
    this.server = createServer((request, response) => void this.answer(request, response));
  }

  get host(): string {
    const address = this.server.address();
    if (address === null || typeof address === "string") throw new Error("no TCP port");
    return `${LOOPBACK}:${address.port}`;
  }

  /** Another site's page may know the address but not the token, and cannot forge Host or Origin. */
  private refusal({ headers, url = "" }: IncomingMessage): number | undefined {
    if (headers.host !== this.host) return 403;
    if (headers.origin !== undefined && headers.origin !== `http://${this.host}`) return 403;
    return same(url.split("/")[1] ?? "", this.token) ? undefined : 404;
  }

  private async answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const refusal = this.refusal(request);
    const what = `${request.method} ${request.url?.split("/").slice(2).join("/")}`;
    if (refusal !== undefined) send(response, refusal, "text/plain", "not for you\n");
    else if (what === "GET ") this.page(response);
    else if (what === "GET look") sendJson(response, 200, this.controlled.look());
    else if (what === "GET looks") this.stream(response);
    else if (what === "POST act") await this.act(request, response);
    else send(response, 404, "text/plain", "there is nothing here\n");
  }

  private page(response: ServerResponse): void {
    const nonce = randomBytes(16).toString("base64");
    const body = this.controlled.page(nonce);
    send(response, 200, "text/html", body, { "Content-Security-Policy": policy(nonce) });
  }

  private async act(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const words = await wordsOf(request);
    if (!words) return send(response, 400, "text/plain", "words are expected, as JSON\n");
    try {
      const said = await this.controlled.act(words);
      sendJson(response, 200, { said, look: this.controlled.look() });
    } catch (thrown) {
      const failure = thrown instanceof Failure ? thrown : new Failure("bug", { cause: thrown });
      const { code, message: what, expected, todo } = failure;
      sendJson(response, 422, { error: { code, what, expected, todo } });
    }
  }

  private stream(response: ServerResponse): void {
    response.writeHead(200, { ...HEADERS, "Content-Type": "text/event-stream" });
    this.streams.add(response);
    response.on("close", () => this.streams.delete(response));
    this.timer ??= setInterval(() => this.tell(), LOOK_EVERY_MS);
    this.tell();
  }

  private tell(): void {
    if (this.streams.size === 0) return;
    const text = `data: ${JSON.stringify(this.controlled.look())}\n\n`;
    for (const stream of this.streams) if (stream.writableLength < MOST_BYTES * 16) stream.write(text);
  }

  close(): Promise<void> {
    clearInterval(this.timer);
    return new Promise((resolve) => {
      this.server.close(() => resolve());
      this.server.closeAllConnections();
    });
  }
}

/** Listens on any free port of the loopback address. */
export async function startControl(controlled: Controlled): Promise<ControlServer> {
  const control = new Control(controlled);
  await new Promise<void>((resolve, reject) => {
    control.server.once("error", reject);
    control.server.listen(0, LOOPBACK, () => resolve());
  });
  return { url: `http://${control.host}/${control.token}/`, close: () => control.close() };
}
