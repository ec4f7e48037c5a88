// The page and the verbs of a practice board over HTTP: this computer alone, the token, Host and Origin checked, nothing from elsewhere.
import { request } from "node:http";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type ControlServer, startControl } from "#host/cli/bench/practice/control-server.ts";
import { controlled } from "#host/cli/bench/practice/start.ts";
import type { Io } from "#host/cli/io.ts";
import { dropRecord, noteRecord } from "#host/cli/line/practice-record.ts";
import { TestPractice } from "../../../bench/practice/bench.ts";
import { World } from "../../world.ts";

const practice = new TestPractice();
let server: ControlServer;
beforeAll(async () => {
  server = await startControl(controlled(practice));
});
afterAll(() => server.close());

interface Answer {
  readonly status: number;
  readonly headers: Readonly<Record<string, unknown>>;
  readonly text: string;
}

/** A request with any headers, which fetch would not send. */
function ask(url: string, headers: Record<string, string> = {}, body?: string): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const sent = request(
      url,
      { method: body === undefined ? "GET" : "POST", headers, agent: false },
      (answer) => {
        let text = "";
        answer.setEncoding("utf8").on("data", (chunk: string) => {
          text += chunk;
        });
        answer.on("end", () => resolve({ status: answer.statusCode!, headers: answer.headers, text }));
      },
    );
    sent.on("error", reject).end(body);
  });
}

const JSON_TYPE = { "content-type": "application/json" };
const words = (...all: string[]): string => JSON.stringify({ words: all });

describe("who is let in", () => {
  test("it listens on the loopback address alone, behind a token of 24 random bytes", () => {
    expect(server.url).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/[\w-]{32}\/$/);
  });

  test.each([
    ["no token", () => `${new URL(server.url).origin}/`, {}, 404],
    ["another token", () => `${new URL(server.url).origin}/${"A".repeat(32)}/`, {}, 404],
    ["a name that leads here", () => server.url, { host: "headgate.example:80" }, 403],
    ["a page of another site", () => server.url, { origin: "http://elsewhere.example" }, 403],
    ["nothing of that name", () => `${server.url}settings`, {}, 404],
  ])("%s is refused", async (_, url, headers, status) => {
    expect((await ask(url(), headers)).status).toBe(status);
    const posted = await ask(`${url()}act`, { ...JSON_TYPE, ...headers }, words("arm", "on"));
    expect(posted.status).toBeGreaterThanOrEqual(400);
    expect(practice.bench.car.controls.arm).toBe(false);
  });

  test("words that are no JSON, or too many, are refused", async () => {
    for (const body of ["arm on", "{}", words("x".repeat(10_000))])
      expect((await ask(`${server.url}act`, JSON_TYPE, body)).status).toBe(400);
    expect((await ask(`${server.url}act`, { "content-type": "text/plain" }, words("arm", "on"))).status).toBe(
      400,
    );
  });

  test("the page loads nothing from elsewhere, and no browser would let it", async () => {
    const { headers, text } = await ask(server.url);
    expect(text).not.toMatch(/(?:src|href|url\()\s*=?\s*["']?(?:https?:)?\/\//i);
    const policy = String(headers["content-security-policy"]);
    expect(policy).toMatch(
      /^default-src 'none'; script-src 'nonce-[^']+'; style-src 'nonce-[^']+'; connect-src 'self'/,
    );
    expect(policy).not.toContain("unsafe");
  });
});

describe("verbs", () => {
  test("do what they say, and show what comes of it", async () => {
    const { status, text } = await ask(`${server.url}act`, JSON_TYPE, words("battery", "9", "V"));
    expect([status, JSON.parse(text)]).toMatchObject([
      200,
      { said: "battery 9 V", look: { values: { battery: { text: "9.0 V", held: true } } } },
    ]);
  });

  test("without sense are told of with what was expected", async () => {
    const { status, text } = await ask(`${server.url}act`, JSON_TYPE, words("relay", "wet"));
    expect([status, JSON.parse(text)]).toMatchObject([
      422,
      { error: { code: "usage", expected: "good, welded, dead" } },
    ]);
  });
});

describe("in a second terminal", () => {
  const world = new World();
  const io = { env: { HEADGATE_DATA: `${world.folder}/data` } } as unknown as Io;
  const recorded = () => ({
    port: "tcp:127.0.0.1:1",
    url: server.url,
    pid: process.pid,
    volume: world.folder,
  });

  test("no board runs: a message of its own, for the port named practice too", async () => {
    for (const args of [
      ["board", "arm", "on"],
      ["status", "--port", "practice"],
    ]) {
      const ran = await world.run(...args);
      expect(ran.exit).toBe(69);
      expect(ran.stderr).toContain("more: headgate explain no-practice-board");
    }
  });

  test("a verb reaches the board; a wrong one comes back with exit 64; show fits 80 and 40 columns", async () => {
    noteRecord(io, recorded());
    expect(await world.run("board", "arm", "on")).toMatchObject({ exit: 0, stdout: "arm on\n" });
    expect(practice.bench.car.controls.arm).toBe(true);
    expect((await world.run("board", "arm", "maybe")).exit).toBe(64);
    expect((await world.run("board", "show", "--json")).json()).toMatchObject({
      command: "board",
      ok: true,
      look: { switches: { arm: true } },
    });
    for (const columns of [80, 40]) {
      world.columns = columns;
      const { stdout } = await world.run("board", "show");
      expect(stdout.split("\n")[0]).toMatch(/^board/);
      for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(columns);
    }
  });

  test("a note of a board that has ended counts as none; another board's note is not taken away", async () => {
    noteRecord(io, { ...recorded(), pid: 2 ** 22 - 1 });
    expect((await world.run("board", "show", "--json")).json()).toMatchObject({
      ok: false,
      error: { code: "no-practice-board", exit: 69 },
    });
    noteRecord(io, recorded());
    dropRecord(io, { ...recorded(), url: "http://127.0.0.1:2/" });
    expect((await world.run("board", "show")).exit).toBe(0);
    dropRecord(io, recorded());
    expect((await world.run("board", "show")).exit).toBe(69);
  });
});
