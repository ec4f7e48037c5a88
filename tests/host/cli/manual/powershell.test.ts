// The completion script for PowerShell, which could not be run in one: read by the few rules of that language that it uses, and held to the commands.
import { Command } from "@commander-js/extra-typings";
import { expect, test } from "vitest";
import { completionScript } from "#host/cli/manual/completion.ts";
import { type CommandNode, treeOf } from "#host/cli/manual/tree.ts";
import { buildProgram } from "#host/cli/program.ts";
import { Session } from "#host/cli/session.ts";

const nothing = { write: () => true };
const program = buildProgram(new Session({ stdin: {}, stdout: nothing, stderr: nothing, env: {} } as never));
const TREE = treeOf(program as unknown as Command);

/** A verbatim string (two quotes stand for one), an expandable string, a bracket or separator, or a word. */
const TOKEN = /'(?:[^']|'')*'|"[^"]*"|@\(|@\{|[(){}[\],=|]|[^\s'"(){}[\],=|]+/g;
const CLOSES: Readonly<Record<string, string>> = { "(": ")", "{": "}", "[": "]", "@(": ")", "@{": "}" };

/** Tokens of a script, its comments left out. Fails where a quote is open or a bracket does not close. */
function tokensOf(script: string): string[] {
  const text = script.replace(/^#.*$/gm, "");
  const tokens = text.match(TOKEN) ?? [];
  expect(tokens.join("")).toBe(text.replace(/('(?:[^']|'')*'|"[^"]*")|\s+/g, "$1"));
  const open: string[] = [];
  for (const token of tokens) {
    if (token in CLOSES) open.push(CLOSES[token]!);
    else if (/^[)}\]]$/.test(token)) expect(open.pop()).toBe(token);
  }
  expect(open).toEqual([]);
  return tokens;
}

const said = (token: string): string => token.slice(1, -1).replaceAll("''", "'");

/** The table `@{ 'path' = @('word', ...) ... }`; a path that stands twice would be an error of the language. */
function tableOf(script: string): Map<string, string[]> {
  const tokens = tokensOf(script);
  const table = new Map<string, string[]>();
  for (let at = tokens.indexOf("@{") + 1; tokens[at] !== "}"; ) {
    const path = said(tokens[at]!);
    expect([table.has(path), tokens[at + 1], tokens[at + 2]]).toEqual([false, "=", "@("]);
    const end = tokens.indexOf(")", at);
    const inside = tokens.slice(at + 3, end);
    expect(inside.every((token, i) => (i % 2 === 0 ? /^'.*'$/.test(token) : token === ","))).toBe(true);
    table.set(path, inside.filter((_, i) => i % 2 === 0).map(said));
    at = end + 1;
  }
  return table;
}

function wanted(node: CommandNode, above = ""): [string, string[]][] {
  const path = `${above}${node.name}`;
  const names = node.commands.map(({ name }) => name);
  const here = [...names, ...node.words, ...node.options.map(({ long }) => long)];
  return [[path, here], ...node.commands.flatMap((one) => wanted(one, `${path} `))];
}

test("every quote and bracket closes, and the table has each command with its words and options", () => {
  expect(tableOf(completionScript("powershell", TREE))).toEqual(new Map(wanted(TREE)));
});

test("a quote within a word stays within it", () => {
  const odd = new Command("headgate");
  odd.command("plan").argument("<how>").option("--it's", "a car's");
  const tree = treeOf(odd as unknown as Command);
  expect(tableOf(completionScript("powershell", tree))).toEqual(new Map(wanted(tree)));
});

test("a script with an open quote or bracket is found", () => {
  const whole = completionScript("powershell", TREE);
  expect(() => tokensOf(whole.replace("'plan'", "'plan"))).toThrow();
  expect(() => tokensOf(whole.replace("@('plan'", "@'plan'"))).toThrow();
});
